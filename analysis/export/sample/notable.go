package sample

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"weirbook/analysis/export/cell"
	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/record"
)

// NoTable says what a text without a table of readings is, as far as its first
// bytes tell, and what to do.
func NoTable(head []byte, whole bool, term byte, seps []byte) error {
	const none = "no table of readings found: "
	if marked := markup(head); marked != "" {
		return errors.New(none + marked)
	}
	first, only := "", ""
	rows := 0
	for i, l := range bytes.Split(head, []byte{term}) {
		l = lex.Trim(l)
		if len(l) == 0 || i > 1000 {
			continue
		}
		if first == "" {
			first = quoted(l)
		}
		for _, sep := range []byte{'\t', ';', ',', '|'} {
			fs, _ := record.SplitRow(l, sep, nil, nil)
			if only == "" && len(fs) > 1 && HeadLine(fs) {
				only, rows = quoted(l), 0
				break
			}
			if len(fs) > 1 && only != "" && (timely(fs) || anyNumber(fs)) {
				rows++
				break
			}
		}
	}
	if only != "" && rows == 0 {
		return fmt.Errorf(none+"there is a heading and no rows (%s). Export a period that has readings", only)
	}
	if err := unreadTimes(head, whole, term, seps); err != nil {
		return err
	}
	for _, l := range bytes.Split(head, []byte{term}) {
		if fs, _ := record.SplitRow(bytes.TrimRight(l, ",;|\t \r"), ',', nil, nil); timely(fs) {
			return fmt.Errorf(none+"the times can be read (%s), and no column beside them holds a number. Export a period that has readings, or describe the file under [[source]] in plant.toml", quoted(l))
		}
	}
	return fmt.Errorf(none+"no column of times beside one of values. The first line is %s. Give the file as it was exported, or describe it under [[source]] in plant.toml", first)
}

// markup says what a text is that is no table at all: a page, XML or JSON; "" for others.
func markup(head []byte) string {
	t := bytes.TrimLeft(lex.Trim(head), "\ufeff")
	low := bytes.ToLower(t[:min(len(t), 2000)])
	has := func(s string) bool { return bytes.Contains(low, []byte(s)) }
	begins := func(s string) bool { return bytes.HasPrefix(low, []byte(s)) }
	switch {
	case begins("<") && (has("<html") || has("<!doctype html") || has("<table") || has("<body")):
		return "this is an HTML page, as a button to a spreadsheet often writes; export as CSV, or open it in a spreadsheet and save the sheet as CSV"
	case begins("<?xml"), begins("<") && has("</"):
		return "this is XML; export as CSV, or open it in a spreadsheet and save the sheet as CSV"
	case begins("{"), begins("[") && len(bytes.TrimLeft(low[1:], " \t\r\n")) > 0 && bytes.IndexByte([]byte("{[\""), bytes.TrimLeft(low[1:], " \t\r\n")[0]) >= 0:
		return "this is JSON; export as CSV"
	}
	return ""
}

func anyNumber(fs [][]byte) bool {
	for _, x := range fs {
		if t := lex.Trim(x); len(t) > 0 && cell.IsNumberCell(t, '.') {
			return true
		}
	}
	return false
}

// quoted is a line for a message, cut at 80 characters.
func quoted(l []byte) string {
	r := []rune(strings.TrimSuffix(record.Shown(l), " …"))
	if len(r) > 80 {
		return "\"" + string(r[:80]) + " …\""
	}
	return "\"" + string(r) + "\""
}

// IsTar says whether a file is an archive of the kind that holds its files as
// they are.
func IsTar(head []byte) bool { return len(head) > 262 && string(head[257:262]) == "ustar" }
