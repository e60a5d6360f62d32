package export

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"testing"
)

func memFile(name string, b []byte) File {
	return File{Name: name, Size: int64(len(b)), Open: func() (io.ReadCloser, error) { return readSeekClose{bytes.NewReader(b)}, nil }}
}

type readSeekClose struct{ *bytes.Reader }

func (readSeekClose) Close() error { return nil }

func TestScratch(t *testing.T) {
	p := os.Getenv("F")
	if p == "" {
		t.Skip()
	}
	b, _ := os.ReadFile(p)
	r, err := Read(context.Background(), []File{memFile("x.csv", b)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Files {
		fmt.Printf("%+v\n", f)
	}
	for _, f := range r.Tags {
		fmt.Printf("%+v\n", f)
	}
	for _, f := range r.Messages {
		fmt.Printf("%+v\n", f)
	}
	for _, f := range r.Ledger {
		fmt.Printf("%+v %v\n", f, f.AddsUp())
	}
	for i, f := range r.SetAside {
		if i < 10 {
			fmt.Printf("%+v\n", f)
		}
	}
	for _, s := range r.Series {
		fmt.Println(s.Tag, s.Len(), s.Check())
		for i := 0; i < 3 && i < s.Len(); i++ {
			fmt.Println(s.T[i], s.V[i], s.F[i].Names())
		}
	}
}
