package reports

import (
	"archive/zip"
	"bufio"
	"encoding/json"
	"io"
	"os"
	"path"
	"slices"
	"strings"
)

// ownHeadings are how the sheets begin that runs and the invented plants write. A
// sheet that begins so is a result, whatever the file is called now.
var ownHeadings = []string{
	"start,end,kind,at_fault,subject,severity",
	"file,tag,rows,used,blank",
	"file,line,tag,reason,text",
	"sample_start,sample_end,tag,measures,at,sample",
	"upset,order,tag,what,began",
	"hour_start,feed_from,flow",
	"parameter,at,statistic,part",
	"column,file,quantity,unit,definition",
	"day_start,time_utc,hours,in_month", "day_start,hours,in_month",
	"hour_start,influent_mgd,flow_mgd", "hour_start,flow_mgd,total_mean", // truth of invented plants
	"tag,measures,at,unit,reading", // a plant's own sheet
}

// ownSeries are the first columns of hourly.csv and daily.csv, which have a column
// of coverage, too.
var ownSeries = []string{"hour_start", "day_start"}

// OwnFile says that a file is one that weirbook wrote: a sheet of a report, or a
// report packed in a zip. It tells by what the file holds.
func OwnFile(name string) bool {
	f, err := os.Open(name)
	if err != nil {
		return false // the reader says so
	}
	defer f.Close()
	b := bufio.NewReaderSize(f, 64<<10)
	if magic, _ := b.Peek(4); string(magic) == "PK\x03\x04" {
		st, err := f.Stat()
		return err == nil && ownZip(f, st.Size())
	}
	head, err := b.ReadSlice('\n')
	if err != nil && len(head) == 0 {
		return false
	}
	return ownHeading(string(head))
}

func ownHeading(line string) bool {
	line = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(line, "\ufeff")))
	line = strings.NewReplacer(";", ",", "\t", ",", `"`, "").Replace(line)
	for _, own := range ownHeadings {
		if strings.HasPrefix(line, own) {
			return true
		}
	}
	first, _, _ := strings.Cut(line, ",")
	return slices.Contains(ownSeries, first) && strings.Contains(line, "_coverage")
}

// ownZip says that an archive holds a run's Marker.
func ownZip(r io.ReaderAt, size int64) bool {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return false
	}
	for _, e := range z.File {
		if path.Base(e.Name) != Marker {
			continue
		}
		f, err := e.Open()
		if err != nil {
			return false
		}
		var m runMarker
		err = json.NewDecoder(io.LimitReader(f, 16<<20)).Decode(&m)
		f.Close()
		if err == nil && m.Program == programName {
			return true
		}
	}
	return false
}
