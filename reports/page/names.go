package page

import (
	"fmt"
	"path"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// longestName is how many bytes a picture's name in its folder has at most: with
// a number and under any folder it fits every file system.
const longestName = 120

// NamePictures makes the names of the page's files fit for any system and distinct
// where capitals or the spelling of accents do not count: look-alike tags and
// basins have pictures of their own.
func (p *Page) NamePictures() {
	taken := map[string]bool{}
	p.eachPicture(func(pic *Picture) {
		ext := path.Ext(pic.File)
		stem := strings.TrimSuffix(pic.File, ext)
		if cut := len(path.Dir(stem)) + 1 + longestName; len(stem) > cut {
			for !utf8.RuneStart(stem[cut]) {
				cut--
			}
			stem = stem[:cut]
		}
		name := stem + ext
		for n := 2; taken[folded(name)]; n++ {
			name = fmt.Sprintf("%s-%d%s", stem, n, ext)
		}
		taken[folded(name)] = true
		pic.File = name
	})
}

func folded(name string) string { return strings.ToLower(norm.NFC.String(name)) }

// eachPicture goes through the page's pictures in their order.
func (p *Page) eachPicture(do func(*Picture)) {
	var walk func(bs []Block)
	walk = func(bs []Block) {
		for i := range bs {
			b := &bs[i]
			if b.Picture != nil {
				do(b.Picture)
			}
			if b.Event != nil {
				for k := range b.Event.Pictures {
					do(&b.Event.Pictures[k])
				}
				walk(b.Event.Blocks)
				walk(b.Event.Folded)
			}
			if b.Fold != nil {
				walk(b.Fold.Blocks)
			}
		}
	}
	for i := range p.Sections {
		walk(p.Sections[i].Blocks)
	}
}
