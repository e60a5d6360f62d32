package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"sort"
	"strings"
)

// numeric finds a formula cell whose stored answer is a number but is marked as
// text, which is how the library writes it.
var numeric = regexp.MustCompile(`(<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")?) t="str">(<f>[^<]*</f><v>-?[0-9][0-9.eE+-]*</v>)`)

// empty finds a formula cell without a stored answer.
var empty = regexp.MustCompile(`(<c r="([A-Z]+[0-9]+)"(?: s="[0-9]+")? t="str"><f>[^<]*</f>)(?:<v></v>|<v/>)?</c>`)

// tidy writes the archive again: members in order, without times, and formula
// cells with the type of their answer. answers are those that are texts.
func tidy(w io.Writer, data []byte, answers map[string]string) error {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	files := append([]*zip.File(nil), r.File...)
	sort.Slice(files, func(i, j int) bool {
		// The list of contents comes first, as readers expect.
		a, b := files[i].Name == "[Content_Types].xml", files[j].Name == "[Content_Types].xml"
		if a != b {
			return a
		}
		return files[i].Name < files[j].Name
	})
	z := zip.NewWriter(w)
	for _, f := range files {
		in, err := f.Open()
		if err != nil {
			return fmt.Errorf("workbook: %s: %w", f.Name, err)
		}
		b, err := io.ReadAll(in)
		in.Close()
		if err != nil {
			return fmt.Errorf("workbook: %s: %w", f.Name, err)
		}
		if strings.HasPrefix(f.Name, "xl/worksheets/sheet") {
			b = numeric.ReplaceAll(b, []byte("$1>$2"))
			b = empty.ReplaceAllFunc(b, func(c []byte) []byte {
				m := empty.FindSubmatch(c)
				for i, s := range sheets {
					if a, ok := answers[s+"!"+string(m[2])]; ok && f.Name == fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1) {
						var t bytes.Buffer
						if xml.EscapeText(&t, []byte(a)) == nil {
							return []byte(string(m[1]) + "<v>" + t.String() + "</v></c>")
						}
					}
				}
				return c
			})
		}
		out, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
		if err != nil {
			return fmt.Errorf("workbook: %w", err)
		}
		if _, err := out.Write(b); err != nil {
			return fmt.Errorf("workbook: %w", err)
		}
	}
	return z.Close()
}
