package reports

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"weirbook/analysis"
	"weirbook/analysis/plant"
	"weirbook/analysis/quantity"
	"weirbook/analysis/review"
	"weirbook/examples"
)

// screenPx is what is called a screen: a browser's window on a laptop.
const screenPx = 900

// browser opens the demo's report in a real browser by its file, as a
// double-click does, at a width in CSS pixels. It skips where there is no browser.
func browser(t *testing.T, width int64, before ...chromedp.Action[chromedp.Void]) context.Context {
	t.Helper()
	return opened(t, demo, width, before...)
}

// opened is browser for the report.html of other outputs.
func opened(t *testing.T, made func() ([]Output, error), width int64, before ...chromedp.Action[chromedp.Void]) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("opens a browser; the tests without -short have it")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome", "msedge"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("no Chromium or Chrome on this machine: the page was not tried in a browser")
	}
	outs, err := made()
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "report.html")
	require.NoError(t, os.WriteFile(file, output(t, outs, "report.html"), 0o600))
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.Flag("disable-background-networking", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(alloc)
	t.Cleanup(end)
	ctx, cancel := context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(cancel)
	do(t, ctx, append(before, chromedp.EmulateViewport(width, screenPx), chromedp.Navigate("file://"+filepath.ToSlash(file)), chromedp.Sleep(time.Second))...)
	return ctx
}

func do(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, steps...))
}

func evaluate[T any](t *testing.T, ctx context.Context, js string) T {
	t.Helper()
	out, err := chromedp.Run(ctx, chromedp.Evaluate[T](js))
	require.NoError(t, err, js)
	return out
}

// madeRun, madeMonth and madeReview are the files of a run, of the summary of March
// 2026 and of a review over an input.
func madeRun(in analysis.Input, err error) ([]Output, error) {
	if err != nil {
		return nil, err
	}
	r, err := analysis.Run(context.Background(), in)
	if err != nil {
		return nil, err
	}
	return runFiles(r, "test", nil)
}

func madeMonth(in analysis.Input, err error) ([]Output, error) {
	if err != nil {
		return nil, err
	}
	r, err := first(analysis.Months(context.Background(), in, time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC), 1))
	if err != nil {
		return nil, err
	}
	return monthFiles(r, "test", nil)
}

func madeReview(in analysis.Input, err error) ([]Output, error) {
	if err != nil {
		return nil, err
	}
	r, err := analysis.Review(context.Background(), in, 0, 0, review.BySeason)
	if err != nil {
		return nil, err
	}
	return reviewFiles(r, "test", nil)
}

var twoTrains = sync.OnceValues(func() ([]Output, error) { return madeRun(exampleInput(examples.TwoTrains(examples.DemoSeed))) })

var oneYear = sync.OnceValues(func() (analysis.Input, error) { return exampleInput(examples.Years(examples.DemoSeed, 1)) })

var aYear = flag.Bool("year", false, "TestReportHasABound also makes a year's exports, their report and their review")

// TestReportHasABound: a month is read on twelve screens and printed on ten pages,
// a year and its review on sixteen, whatever the number of trains and events.
func TestReportHasABound(t *testing.T) {
	for _, x := range []struct {
		name           string
		made           func() ([]Output, error)
		screens, pages int
	}{
		{"demo", demo, 12, 10},
		{"two trains", twoTrains, 12, 10},
		{"month", func() ([]Output, error) { return madeMonth(exampleInput(examples.Demo(examples.DemoSeed))) }, 12, 10},
		{"month of two trains", func() ([]Output, error) { return madeMonth(exampleInput(examples.TwoTrains(examples.DemoSeed))) }, 12, 10},
		{"year", func() ([]Output, error) { return madeRun(oneYear()) }, 16, 16},
		{"review of a year", func() ([]Output, error) { return madeReview(oneYear()) }, 16, 16},
	} {
		t.Run(x.name, func(t *testing.T) {
			if x.screens > 12 && !*aYear {
				t.Skip("a year takes half a minute; -args -year has it")
			}
			ctx := opened(t, x.made, 1280)
			h := evaluate[float64](t, ctx, `document.documentElement.scrollHeight`)
			require.LessOrEqual(t, h/screenPx, float64(x.screens), "screens of %d px", screenPx)
			pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperLetter), chromedp.PDFPreferCSSPageSize()))
			require.NoError(t, err)
			pages := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(pdf, -1))
			require.NotZero(t, pages)
			require.LessOrEqual(t, pages, x.pages, "printed pages")
			t.Logf("%.1f screens of %d px at 1280 px, %d printed pages", h/screenPx, screenPx, pages)
		})
	}
}

// TestNothingStandsOut: no page is wider than its screen, open or folded.
func TestNothingStandsOut(t *testing.T) {
	for name, made := range map[string]func() ([]Output, error){"demo": demo, "two trains": twoTrains, "review": demoReview,
		"month": func() ([]Output, error) { return madeMonth(exampleInput(examples.Demo(examples.DemoSeed))) }} {
		ctx := opened(t, made, 1280)
		for _, width := range []int64{1280, 768, 390} {
			do(t, ctx, chromedp.EmulateViewport(width, screenPx), chromedp.Sleep(300*time.Millisecond))
			require.LessOrEqual(t, evaluate[float64](t, ctx, `document.documentElement.scrollWidth`), float64(width), "%s at %d px", name, width)
			evaluate[int](t, ctx, `document.querySelectorAll("details").forEach(function(d){d.open=true}),1`)
			require.LessOrEqual(t, evaluate[float64](t, ctx, `document.documentElement.scrollWidth`), float64(width), "%s at %d px, all open", name, width)
		}
	}
}

// TestTimelineIsRead: pointing at a timeline reads every panel at that moment,
// dragging and keys look closer, and nothing is fetched.
func TestTimelineIsRead(t *testing.T) {
	ctx := browser(t, 1280)
	r, err := demoRun(false)
	require.NoError(t, err)

	evaluate[chromedp.Void](t, ctx, `document.querySelector("#timeline").scrollIntoView()`)
	box := evaluate[[]float64](t, ctx, `(function(){var r=document.querySelector("#timeline .live .panel").getBoundingClientRect();return [r.left,r.top,r.width,r.height]})()`)
	at := func(share float64) (x, y float64) { return box[0] + share*box[2], box[1] + box[3]/2 }
	mouse := func(kind input.DispatchMouseEventType, share float64) chromedp.Action[chromedp.Void] {
		x, y := at(share)
		if kind == chromedp.MouseMoved {
			return chromedp.MouseEvent(kind, x, y)
		}
		return chromedp.MouseEvent(kind, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1))
	}
	data := func(name string) float64 {
		return evaluate[float64](t, ctx, `Number(document.querySelector("#timeline figure").dataset.`+name+`)`)
	}
	panels := func() string {
		return evaluate[string](t, ctx, `Array.from(document.querySelectorAll("#timeline .live .legend")).map(function(l){return l.textContent}).join("\n")`)
	}

	// The cursor: an hour's mean of each tag, as the readings themselves give it.
	do(t, ctx, mouse(chromedp.MouseMoved, 0.4))
	cursor := int64(data("cursor"))
	require.InDelta(t, float64(r.From)+0.4*float64(r.To-r.From), float64(cursor), 3600_000, "the hour pointed at")
	b := &r.Basins[0]
	for _, want := range []struct {
		name string
		col  []float64
		tens int
	}{{"AIT-423", r.Minutes(tagNamed(t, r.Plant.Tags, "AIT-423")), 0}, {"AIT-301", r.Minutes(tagNamed(t, r.Plant.Tags, "AIT-301")), 3}, {"total AIT-421", r.Minutes(tagNamed(t, r.Plant.Tags, "AIT-421")), 2},
		{b.FlowTag.Name, in(b.Flow, quantity.MustUnit("MGD"), r.Plant.Units), 2}, {"CT", b.Track.CTMgMinL, 1}} {
		sum, n := 0.0, 0
		for i := r.Grid.Index(cursor); i < r.Grid.Index(cursor+3600_000); i++ {
			if !math.IsNaN(want.col[i]) {
				sum, n = sum+want.col[i], n+1
			}
		}
		require.NotZero(t, n, want.name)
		m := regexp.MustCompile(regexp.QuoteMeta(want.name) + ` ([\d.,−]+) \(`).FindStringSubmatch(panels())
		require.NotNil(t, m, "%s is read off:\n%s", want.name, panels())
		var got float64
		_, err := fmt.Sscan(strings.NewReplacer(",", "", "−", "-").Replace(m[1]), &got)
		require.NoError(t, err)
		require.InDelta(t, sum/float64(n), got, 0.51*math.Pow(10, -float64(want.tens)), want.name)
	}

	// A drag looks closer; minutes of the event's own chart serve inside it.
	do(t, ctx, mouse(chromedp.MousePressed, 0.2), mouse(chromedp.MouseMoved, 0.3), mouse(chromedp.MouseMoved, 0.4), mouse(chromedp.MouseReleased, 0.4))
	span := float64(r.To - r.From)
	require.InDelta(t, float64(r.From)+0.2*span, data("from"), 0.005*span)
	require.InDelta(t, float64(r.From)+0.4*span, data("to"), 0.005*span)

	// Keys: the cursor moves by a step, plus looks closer, Home shows the whole.
	do(t, ctx, chromedp.Focus(chromedp.CSS("#timeline svg")), chromedp.KeyEvent(kb.ArrowRight))
	first := data("cursor")
	do(t, ctx, chromedp.KeyEvent(kb.ArrowRight))
	require.Equal(t, first+3600_000, data("cursor"))
	do(t, ctx, chromedp.KeyEvent(kb.ArrowLeft, chromedp.KeyModifiers(chromedp.ModifierShift)))
	require.Equal(t, first-9*3600_000, data("cursor"))
	was := data("to") - data("from")
	do(t, ctx, chromedp.KeyEvent("+"))
	require.InDelta(t, was/2, data("to")-data("from"), 2)
	do(t, ctx, chromedp.KeyEvent(kb.Home))
	require.Equal(t, float64(r.From), data("from"))
	require.Equal(t, float64(r.To), data("to"))

	// The strip: a press beyond the window moves it there.
	do(t, ctx, chromedp.KeyEvent("+"), chromedp.KeyEvent("+"), chromedp.KeyEvent("+"))
	strip := evaluate[[]float64](t, ctx, `(function(){var r=document.querySelector("#timeline .live .window").getBoundingClientRect();return [r.top+r.height/2]})()`)
	x, _ := at(0.9)
	do(t, ctx, chromedp.MouseEvent(chromedp.MousePressed, x, strip[0], chromedp.ButtonLeft, chromedp.ClickCount(1)),
		chromedp.MouseEvent(chromedp.MouseReleased, x, strip[0], chromedp.ButtonLeft, chromedp.ClickCount(1)))
	require.InDelta(t, float64(r.From)+0.9*span, (data("from")+data("to"))/2, 0.01*span)

	require.Empty(t, evaluate[[]string](t, ctx, `performance.getEntriesByType("resource").map(function(e){return e.name}).filter(function(n){return n.indexOf("data:")!==0})`), "nothing is fetched")
}

// TestLinkOpensWhatIsFolded: a link from the list to an event leads to it.
func TestLinkOpensWhatIsFolded(t *testing.T) {
	ctx := browser(t, 1280)
	require.Zero(t, evaluate[int](t, ctx, `Array.from(document.querySelectorAll("main a[href^='#']")).filter(function(a){return !document.getElementById(a.getAttribute("href").slice(1))}).length`), "every link leads somewhere")
	require.NotZero(t, evaluate[int](t, ctx, `document.querySelectorAll("details.fold:not([open])").length`))
	require.Zero(t, evaluate[int](t, ctx, `document.querySelectorAll("details.fold[open]").length`), "closed on screen")
	do(t, ctx, chromedp.Click(chromedp.CSS("#open-all")))
	require.Zero(t, evaluate[int](t, ctx, `document.querySelectorAll("details.fold:not([open])").length`), "and opened by one press")
}

// TestWithoutScripts: the pictures stand in, and everything can be read.
func TestWithoutScripts(t *testing.T) {
	ctx := browser(t, 1280, scripts(false))
	do(t, ctx, scripts(true)) // what was not drawn before stays so
	require.NotZero(t, evaluate[int](t, ctx, `document.querySelectorAll("figure.timeline").length`))
	require.Zero(t, evaluate[int](t, ctx, `document.querySelectorAll(".live").length`))
	require.Zero(t, evaluate[int](t, ctx, `Array.from(document.querySelectorAll("main > section > figure img, .event > figure img")).filter(function(i){return !i.closest("details") && (i.naturalWidth===0 || i.offsetWidth===0)}).length`), "every picture is seen")
}

func tagNamed(t *testing.T, tags []plant.Tag, name string) plant.Tag {
	t.Helper()
	for _, x := range tags {
		if x.Name == name {
			return x
		}
	}
	require.Fail(t, "no tag "+name)
	return plant.Tag{}
}

// scripts turns a page's scripts on or off.
func scripts(on bool) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: !on})
		return err
	})
}
