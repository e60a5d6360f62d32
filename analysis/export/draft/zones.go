package draft

import (
	"fmt"
	"strings"
	"time"

	"weirbook/analysis/zone"
)

// Zone finds a clock by its name. Of "Mountain" and the like the error says which
// name is meant: the clock itself is for the plant to choose.
func Zone(name string) (*time.Location, error) {
	loc, err := zone.Load(name)
	if err == nil {
		return loc, nil
	}
	if iana, ok := zone.Windows(strings.TrimSpace(name) + " Standard Time"); ok {
		return nil, fmt.Errorf("%s is no time zone's name; write %s", name, iana)
	}
	return nil, fmt.Errorf("%s is no time zone; write one such as America/Denver", name)
}
