package page

import (
	"bytes"
	"encoding/base64"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"weirbook/analysis/finding"
)

// folder, when given, is where the sample report is written so that a person
// can look at it: go test ./reports/page -args -folder DIR
var folder = flag.String("folder", "", "folder to write the sample report into")

func write(t *testing.T, p *Page) (htm, md string) {
	t.Helper()
	var h, m bytes.Buffer
	require.NoError(t, p.WriteHTML(&h))
	require.NoError(t, p.WriteMarkdown(&m))
	return h.String(), m.String()
}

func TestSampleReport(t *testing.T) {
	p := samplePage()
	htm, md := write(t, p)
	if *folder != "" {
		require.NoError(t, os.MkdirAll(filepath.Join(*folder, "charts"), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(*folder, "report.html"), []byte(htm), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(*folder, "report.md"), []byte(md), 0o644))
		for _, pic := range p.Pictures() {
			require.NoError(t, os.WriteFile(filepath.Join(*folder, filepath.FromSlash(pic.File)), pic.PNG, 0o644))
		}
	}
	htm2, md2 := write(t, samplePage())
	require.Equal(t, htm, htm2)
	require.Equal(t, md, md2)
}

// walk visits every element of a page.
func walk(t *testing.T, htm string, visit func(n *html.Node)) {
	t.Helper()
	root, err := html.Parse(strings.NewReader(htm))
	require.NoError(t, err)
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			visit(n)
		}
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func TestPageNeedsNothingBesideIt(t *testing.T) {
	htm, _ := write(t, samplePage())
	require.NotContains(t, htm, "<script src")
	require.NotContains(t, htm, "fetch(")
	require.NotContains(t, htm, "XMLHttpRequest")
	require.NotContains(t, htm, "http:")
	require.NotContains(t, htm, "https:")
	require.NotContains(t, htm, "@import")
	require.NotContains(t, htm, "ZgotmplZ", "the template refused a value")
	p := samplePage()
	pics := p.Pictures()
	i := 0
	walk(t, htm, func(n *html.Node) {
		if n.Data == "img" {
			data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(attr(n, "src"), "data:image/png;base64,"))
			require.NoError(t, err)
			require.Equal(t, pics[i].PNG, data)
			require.Equal(t, pics[i].Alt, attr(n, "alt"))
			require.Equal(t, "800", attr(n, "width"))
			i++
		}
	})
	require.Equal(t, len(pics), i)
}

func TestPageIsAccessible(t *testing.T) {
	htm, _ := write(t, samplePage())
	ids, level, h1 := map[string]bool{}, 0, 0
	var links []string
	walk(t, htm, func(n *html.Node) {
		if id := attr(n, "id"); id != "" {
			require.False(t, ids[id], "id %s twice", id)
			ids[id] = true
		}
		switch n.Data {
		case "html":
			require.Equal(t, "en", attr(n, "lang"))
		case "h1", "h2", "h3", "h4":
			l := int(n.Data[1] - '0')
			require.LessOrEqual(t, l, level+1, "headings go down one step at a time")
			level = l
			if l == 1 {
				h1++
			}
		case "th":
			require.NotEmpty(t, attr(n, "scope"))
		case "table":
			caption := 0
			for c := range n.ChildNodes() {
				if c.Data == "caption" {
					caption++
				}
			}
			require.Equal(t, 1, caption)
		case "a":
			links = append(links, attr(n, "href"))
		}
	})
	require.Equal(t, 1, h1)
	require.NotEmpty(t, links)
	for _, l := range links {
		require.True(t, strings.HasPrefix(l, "#") && ids[l[1:]], "link %s leads nowhere", l)
	}
}

func TestVerdictComesFirst(t *testing.T) {
	htm, md := write(t, samplePage())
	for text, next := range map[string]string{htm: `<section id="glance"`, md: "## The month at a glance"} {
		first, second := strings.Index(text, "CT was met in 728"), strings.Index(text, next)
		require.Positive(t, first)
		require.Less(t, first, second)
		require.Contains(t, text, "short for 6 hours")
		require.Contains(t, text, "728 of 734")
	}
	require.True(t, strings.HasPrefix(md, "# Disinfection report: Alder Creek (invented)\n\n"))
}

func TestTextIsNeverTakenForMarkup(t *testing.T) {
	p := samplePage()
	evil := `<img src=x onerror=alert(1)> & "quoted" | pipe`
	p.Plant, p.Verdict.Sentences[0] = evil, evil
	p.Sections[0].Lead, p.Sections[0].Title = evil, evil
	p.Sections[0].Blocks = append(p.Sections[0].Blocks, Text(evil), Points(evil), Facts(Fact{evil, evil, evil}), Cautions(evil), Findings([]FindingRow{{What: evil, Severity: "critical"}}))
	htm, md := write(t, p)
	walk(t, htm, func(n *html.Node) {
		require.Empty(t, attr(n, "onerror"))
	})
	require.NotContains(t, md, "<img")
}

func TestMarkdownNamesEveryPicture(t *testing.T) {
	p := samplePage()
	_, md := write(t, p)
	found := regexp.MustCompile(`!\[[^\]]+\]\(([^)]+)\)`).FindAllStringSubmatch(md, -1)
	pics := p.Pictures()
	require.Len(t, found, len(pics))
	for i, f := range found {
		require.Equal(t, pics[i].File, f[1])
	}
}

func TestBrokenPagesAreRefused(t *testing.T) {
	for want, spoil := range map[string]func(*Page){
		`page: the ID "glance" is used twice`:                                      func(p *Page) { p.Sections[1].ID = "glance" },
		`page: "What needs attention" needs an ID`:                                 func(p *Page) { p.Sections[1].ID = "what needs" },
		`page: the picture charts/glance.png has no words for who cannot see it`:   func(p *Page) { p.Sections[0].Blocks[0].Picture.Alt = "" },
		`page: the picture charts/glance.png is empty`:                             func(p *Page) { p.Sections[0].Blocks[0].Picture.PNG = nil },
		`table "Loads, dose and chemical by day": row 1 has 1 cells for 9 columns`: func(p *Page) { tab := p.Sections[3].Blocks[0].Table; tab.Rows[0] = tab.Rows[0][:1] },
	} {
		p := samplePage()
		spoil(p)
		require.ErrorContains(t, p.WriteHTML(&bytes.Buffer{}), want)
		require.ErrorContains(t, p.WriteMarkdown(&bytes.Buffer{}), want)
	}
}

func TestWords(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	require.NoError(t, err)
	ms := func(d, h int) int64 { return time.Date(2026, 3, d, h, 0, 0, 0, zone).UnixMilli() }
	require.Equal(t, "Thu 19 Mar 04:00 to 10:00", Period(ms(19, 4), ms(19, 10), zone))
	require.Equal(t, "Sat 7 Mar 23:00 to Sun 8 Mar 03:00", Period(ms(7, 23), ms(8, 3), zone))
	require.Equal(t, "3 h", finding.Length(time.Duration(ms(8, 3)-ms(7, 23))*time.Millisecond), "one of the four clock hours does not exist")
	for d, want := range map[time.Duration]string{40 * time.Minute: "40 min", 90 * time.Minute: "1 h 30 min", 47 * time.Hour: "47 h", 48 * time.Hour: "2 d", 50 * time.Hour: "2 d 2 h"} {
		require.Equal(t, want, finding.Length(d))
	}
	require.Equal(t, "likely", Sure(finding.Finding{Confidence: 0.85}))
	require.Equal(t, "look", Sure(finding.Finding{Confidence: 0.95, Suspicion: true}))
	require.Equal(t, "ORP probe", PartyName(finding.ORPProbe))
	require.Equal(t, "undecided", PartyName("something new"))
	seen := map[string]bool{}
	for s := Plain; s <= Unknown; s++ {
		require.False(t, seen[s.Sign()], fmt.Sprint(s))
		seen[s.Sign()] = true
	}
}

// TestContrast: words reach 4.5 to 1 (WCAG 2.2, success criterion 1.4.3) on the
// page and on the shading of events, by day and by night.
func TestContrast(t *testing.T) {
	light, dark, ok := strings.Cut(pageCSS, "prefers-color-scheme: dark")
	require.True(t, ok)
	for name, css := range map[string]string{"light": light, "dark": dark} {
		value := func(variable string) float64 {
			m := regexp.MustCompile(`--` + variable + `: #([0-9a-f]{3,6});`).FindStringSubmatch(css)
			require.NotNil(t, m, "%s, %s", name, variable)
			hex := m[1]
			if len(hex) == 3 {
				hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
			}
			n, err := strconv.ParseUint(hex, 16, 32)
			require.NoError(t, err)
			sum := 0.0
			for i, weight := range []float64{0.2126, 0.7152, 0.0722} { // relative luminance, WCAG 2.2
				v := float64(n>>(16-8*i)&255) / 255
				if v <= 0.04045 {
					v /= 12.92
				} else {
					v = math.Pow((v+0.055)/1.055, 2.4)
				}
				sum += weight * v
			}
			return sum
		}
		for _, ground := range []string{"paper", "event"} {
			for _, words := range []string{"ink", "soft", "limit", "link", "bad", "watch", "good"} {
				a, b := value(words), value(ground)
				require.GreaterOrEqual(t, (math.Max(a, b)+0.05)/(math.Min(a, b)+0.05), 4.5, "%s: %s on %s", name, words, ground)
			}
		}
	}
}
