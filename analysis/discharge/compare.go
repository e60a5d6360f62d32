package discharge

import "fmt"

// CompareWith adds to the lines of m what they come to in other, the same month
// made with other readings, where that differs. says begins the sentence.
func CompareWith(m, other *Month, says string) {
	if len(m.Lines) != len(other.Lines) {
		return
	}
	for i := range m.Lines {
		l, o := &m.Lines[i], other.Lines[i]
		if l.Report == o.Report && l.State == o.State {
			continue
		}
		was := o.Report + " " + o.Unit + ", " + string(o.State)
		if o.Report == "" {
			was = string(o.State)
		}
		l.Remarks = append(l.Remarks, fmt.Sprintf("%s: %s.", says, was))
	}
}
