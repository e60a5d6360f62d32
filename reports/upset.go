package reports

import (
	"fmt"

	"weirbook/analysis"
	"weirbook/analysis/upset"
)

// WriteUpset writes the folder of an explained upset: whole, or not at all.
func WriteUpset(dir string, r *analysis.Result, us []analysis.Upset, version string, drawn Progress) error {
	if len(us) == 0 {
		return fmt.Errorf("no basin to explain; plant.toml names none")
	}
	p, err := upsetPage(r, us, version)
	if err != nil {
		return err
	}
	outs, err := pageFiles(p, drawn)
	if err != nil {
		return err
	}
	more, err := upsetFiles(us)
	if err != nil {
		return err
	}
	outs = append(outs, more...)
	st, err := NewStage(dir)
	if err != nil {
		return err
	}
	defer st.Abort()
	for _, o := range outs {
		if err := st.WriteFile(o.Name, o.Data); err != nil {
			return err
		}
	}
	j, err := runText(r, version, "upset", st.Files())
	if err != nil {
		return err
	}
	if err := st.WriteFile(Marker, j); err != nil {
		return err
	}
	return st.Commit()
}

// upsetFiles are the files beside the page: a draft narrative and the hours of
// each upset, and all their moves.
func upsetFiles(us []analysis.Upset) ([]Output, error) {
	if len(us) == 0 {
		return nil, nil
	}
	var outs []Output
	for k := range us {
		u := &us[k]
		outs = append(outs, Output{fmt.Sprintf("incident-%d.md", k+1), []byte(upset.Narrative(u.Input, u.Explanation))})
		if len(u.Held) > 0 {
			data, err := csvOf(heldTable(u))
			if err != nil {
				return nil, err
			}
			outs = append(outs, Output{fmt.Sprintf("would-have-held-%d.csv", k+1), data})
		}
	}
	data, err := movesCSV(us)
	if err != nil {
		return nil, err
	}
	return append(outs, Output{"moves.csv", data}), nil
}
