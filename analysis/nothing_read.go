package analysis

import (
	"fmt"
	"strings"

	"weirbook/analysis/export"
)

// shownInError is how many messages or tags an error lists at most.
const shownInError = 8

// nothingRead is the error of a run without one reading of a tag of tags.csv. It
// says what the reader met in which file, and which tags it saw instead.
func nothingRead(r *export.Result) error {
	var b strings.Builder
	b.WriteString("no tag of tags.csv is in any export")
	var known, other []string
	for _, t := range r.Tags {
		if t.Ruled {
			known = append(known, t.Name)
		} else {
			other = append(other, t.Name)
		}
	}
	if len(known) > 0 {
		b.Reset()
		b.WriteString("the exports hold no reading that can be used of the tags of tags.csv; these are in them: " + some(known))
	}
	told, n := map[string]bool{}, 0
	for _, m := range r.Messages {
		if m.File == "" || m.Severity == export.Note {
			continue
		}
		told[m.File] = true
		if n++; n > shownInError {
			continue
		}
		fmt.Fprintf(&b, "\n  %s: %s", place(m), m.Text)
	}
	if n > shownInError {
		fmt.Fprintf(&b, "\n  and %d more of such messages", n-shownInError)
	}
	shown := 0
	for _, f := range r.Files {
		if told[f.Name] {
			continue
		}
		if shown++; shown > shownInError {
			fmt.Fprintf(&b, "\n  and more files; %d in all", len(r.Files))
			break
		}
		fmt.Fprintf(&b, "\n  %s: read as %s; data rows: %d", f.Name, f.Format, f.Rows)
	}
	if len(other) > 0 {
		fmt.Fprintf(&b, "\n  tags in the exports that tags.csv does not name: %s", some(other))
		b.WriteString("\n  spell the tags of tags.csv as the exports do; \"weirbook draft\" writes a tags.csv from what the exports hold")
	}
	return emptyError(b.String())
}

// emptyError is the error of a period, or of exports, without a reading to work on.
type emptyError string

func (e emptyError) Error() string { return string(e) }

// some lists the first few names.
func some(names []string) string {
	if len(names) > shownInError {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:shownInError], ", "), len(names)-shownInError)
	}
	return strings.Join(names, ", ")
}
