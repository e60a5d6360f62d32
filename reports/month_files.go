package reports

import (
	"bytes"
	"fmt"
	"time"

	"weirbook/analysis"
	"weirbook/analysis/discharge"
	"weirbook/analysis/plant"
	"weirbook/reports/workbook"
)

// WriteMonths writes the folder of the monthly discharge summary, whole or not at all:
// of one month or more in a row, several each into a folder of
// its own, 2026-03, with months.csv and a sheet of all of them beside.
func WriteMonths(dir string, rs []*analysis.MonthResult, version string, drawn Progress) error {
	st, err := NewStage(dir)
	if err != nil {
		return err
	}
	defer st.Abort()
	var ms []*discharge.Month
	for _, r := range rs {
		ms = append(ms, r.Month)
		outs, err := monthFiles(r, version, drawn)
		if err != nil {
			return fmt.Errorf("%s: %w", r.Month.Name(), err)
		}
		folder := ""
		if len(rs) > 1 {
			folder = r.Month.First().Format("2006-01") + "/"
		}
		for _, o := range outs {
			if err := st.WriteFile(folder+o.Name, o.Data); err != nil {
				return err
			}
		}
	}
	if len(rs) > 1 {
		outs, err := makeAll([]maker{
			{"months.csv", func() ([]byte, error) { return monthsCSV(ms) }},
			{"months.xlsx", func() ([]byte, error) {
				var b bytes.Buffer
				err := workbook.WriteYear(&b, ms, version)
				return b.Bytes(), err
			}},
		})
		if err != nil {
			return err
		}
		for _, o := range outs {
			if err := st.WriteFile(o.Name, o.Data); err != nil {
				return err
			}
		}
	}
	j, err := monthJSON(rs, version, st.Files())
	if err != nil {
		return err
	}
	if err := st.WriteFile(Marker, j); err != nil {
		return err
	}
	return st.Commit()
}

// monthFiles makes every file of the summary but run.json.
func monthFiles(r *analysis.MonthResult, version string, drawn Progress) ([]Output, error) {
	p, err := monthPage(r, version)
	if err != nil {
		return nil, err
	}
	outs, err := pageFiles(p, drawn)
	if err != nil {
		return nil, err
	}
	made, err := makeAll(append([]maker{
		{"month.csv", func() ([]byte, error) { return monthCSV(r.Month) }},
		{"month-days.csv", func() ([]byte, error) { return monthDailyCSV(r.Month, r.Plant.Zone, r.Plant.Units) }},
		{"columns.csv", func() ([]byte, error) { return monthColumnsCSV(r) }},
		{workbook.Name(r.Month), func() ([]byte, error) { return monthBook(r, version) }},
	}, readerFiles(r.Read)...))
	return append(outs, made...), err
}

func monthBook(r *analysis.MonthResult, version string) ([]byte, error) {
	b := workbook.Book{Month: r.Month, Version: version, A4: r.Plant.Units == plant.Metric, Units: r.Plant.Units}
	for _, f := range r.Read.Files {
		b.Inputs = append(b.Inputs, workbook.Input{Name: f.Name, SHA256: f.SHA256})
	}
	var buf bytes.Buffer
	err := workbook.Write(&buf, b)
	return buf.Bytes(), err
}

// monthJSON is run.json of a summary: enough to make it again.
func monthJSON(rs []*analysis.MonthResult, version string, files []File) ([]byte, error) {
	first, r := rs[0].Month, rs[len(rs)-1]
	m := r.Month
	from := time.Date(first.Year, first.Month, 1, 0, 0, 0, 0, r.Plant.Zone)
	j := newRunJSON(r.Plant, r.Read, r.Named, version, "month", files)
	j.From, j.To = from.Format(time.RFC3339), time.Date(m.Year, m.Month+1, 1, 0, 0, 0, 0, r.Plant.Zone).Format(time.RFC3339)
	j.Asked = askedJSON{j.From, j.To}
	for _, x := range rs {
		for _, d := range x.Month.Days {
			j.Counts.Hours += int(d.Hours)
		}
	}
	p := m.Reporting
	j.Settings = []settingJSON{
		{"reporting.non_detect", p.NonDetect, ""}, {"reporting.all_below", p.AllBelow, ""}, {"reporting.rounding", p.Rounding, ""},
		{"reporting.round_to", p.RoundTo, ""}, {"reporting.week_begins", p.Week, ""}, {"reporting.straddling_weeks", p.StraddlingWeeks, ""},
		{"reporting.composite_day", p.CompositeDay, ""}, {"reporting.no_discharge_at", fmt.Sprintf("%g MGD", p.NoDischarge), ""},
		{"reporting.too_many", p.TooMany, "bacteria too many to count; empty: the method's upper limit where [[lab]] states it"},
		{"scale end, over, minutes", fmt.Sprintf("%g, %g, %g", m.Settings.ScaleEnd, m.Settings.ScaleOver, m.Settings.ScaleMinutes), "shares of a signal's span; so many minutes there make a day at least"},
		{"finding sure enough", fmt.Sprintf("%g", analysis.SureForMonth), "confidence from which readings held at fault are left out"},
		{"pounds factor", fmt.Sprintf("%g", m.Settings.Factor), "lb per million gallons per mg/L"},
		{"day_coverage", fmt.Sprintf("%g", m.Settings.DayCover), "share of a day that must be covered for it to be determined"},
		{"hour_coverage", fmt.Sprintf("%g", m.Settings.HourCover), "the same for an hour"},
		{"max_gap", r.Plant.MaxGap.String(), "nothing is bridged beyond this between readings of a continuous tag"},
		{"acidity total", fmt.Sprintf("%g min", m.Settings.AcidityTotalMin), "40 CFR 401.17(a)"},
		{"acidity longest", fmt.Sprintf("%g min", m.Settings.AcidityLongestMin), "40 CFR 401.17(a)"},
		{"likelihood, least detected", fmt.Sprintf("%d", m.Settings.MinDetected), ""},
		{"count of zero counts as", fmt.Sprintf("%g", m.Settings.CountFloor), "in a geometric mean"},
	}
	return jsonText(j)
}
