// Package zone finds clocks by the names that people and systems give them.
package zone

import (
	_ "embed"
	"fmt"
	"regexp"
	"strings"
	"time"
)

// windows lists zones as Windows names them, then the names that its settings show for
// those of North America: the territory-independent (001) lines of
// common/supplemental/windowsZones.xml in the Unicode Common Locale Data Repository
// (CLDR), type version 2021a.
//
//go:embed windows.txt
var windows string

var byName = func() map[string]string {
	m := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(windows), "\n") {
		name, iana, _ := strings.Cut(line, "=")
		m[strings.ToLower(name)] = iana
	}
	return m
}()

var shownOffset = regexp.MustCompile(`^\((?:UTC|GMT)[^)]*\)\s*`)

// Windows gives the IANA name of a zone that Windows names so ("Mountain Standard
// Time", "(UTC-07:00) Mountain Time (US & Canada)"); its daylight name means the same.
func Windows(name string) (iana string, ok bool) {
	s := strings.ToLower(shownOffset.ReplaceAllString(strings.TrimSpace(name), ""))
	if iana, ok = byName[s]; !ok {
		iana, ok = byName[strings.Replace(s, " daylight time", " standard time", 1)]
	}
	return iana, ok
}

// Load finds a clock by its IANA name, or by the one that Windows gives it.
func Load(name string) (*time.Location, error) {
	if name == "Local" || strings.TrimSpace(name) == "" {
		return nil, fmt.Errorf("%q is no time zone", name)
	}
	if iana, ok := Windows(name); ok {
		return time.LoadLocation(iana)
	}
	return time.LoadLocation(name)
}
