package record

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
)

// File is one export: a name for messages and the ledger, and a way to read it.
// Open may be called more than once (a file is read again where its date order
// or overlapping readings ask for it) and always gives the file from its start.
type File struct {
	Name string
	Size int64 // bytes, for progress; 0 when not known
	Open func() (io.ReadCloser, error)
}

// Member is one table to read: a file, or one file of an archive.
type Member struct {
	Name   string
	Packed string // "", "gzip" or "zip"
	Size   int64  // unpacked bytes if known
	Open   func() (io.ReadCloser, error)
}

const zipInMemory = 1 << 30 // an archive from a reader without random access is held up to this size

var errNested = errors.New("an archive within an archive; unpack the inner one first")

// Members looks at a file's first bytes and lists the tables in it.
func Members(f File) ([]Member, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	head := make([]byte, dayBlocksHead)
	n, err := io.ReadFull(r, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		r.Close()
		return nil, err
	}
	head = head[:n]
	switch {
	case bytes.HasPrefix(head, []byte("\x1f\x8b")):
		r.Close()
		return []Member{{Name: f.Name, Packed: "gzip", Open: func() (io.ReadCloser, error) { return openGzip(f) }}}, nil
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		r.Close()
		return zipMembers(f)
	}
	r.Close()
	for _, k := range foreign {
		if bytes.HasPrefix(head, []byte(k.magic)) {
			return nil, fmt.Errorf("this is %s, not a text export; %s", k.what, k.do)
		}
	}
	if heading, sep := dayBlocks(head); sep != 0 {
		return []Member{{Name: f.Name, Packed: "a block per day", Open: openDayBlocks(f, heading, sep)}}, nil
	}
	if n < dayBlocksHead { // all of it
		switch s, err := monthSheetOf(f.Name, head); {
		case err != nil:
			return nil, err
		case s != nil:
			return []Member{{Name: f.Name, Packed: s.String(), Open: s.open(f)}}, nil
		}
	}
	return []Member{{Name: f.Name, Size: f.Size, Open: f.Open}}, nil
}

var foreign = []struct{ magic, what, do string }{
	{"\xd0\xcf\x11\xe0", "an old spreadsheet workbook", "save the sheet as CSV and give that"},
	{"%PDF", "a PDF document", "export the readings as CSV"},
	{"Rar!", "a RAR archive", "unpack it first"},
	{"7z\xbc\xaf", "a 7z archive", "unpack it first"},
	{"\x28\xb5\x2f\xfd", "a Zstandard file", "unpack it first"},
	{"\xfd7zX", "an xz file", "unpack it first"},
	{"BZh", "a bzip2 file", "unpack it first"},
	{"PAR1", "a Parquet file", "export the readings as CSV"},
	{"SQLi", "a database file", "export the readings as CSV"},
}

type closers struct {
	io.Reader
	c []io.Closer
}

func (c closers) Close() error {
	var first error
	for _, x := range c.c {
		if err := x.Close(); err != nil && first == nil {
			first = err
		}
	}
	return first
}

func openGzip(f File) (io.ReadCloser, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	z, err := gzip.NewReader(bufio.NewReaderSize(r, 256<<10))
	if err != nil {
		r.Close()
		return nil, fmt.Errorf("damaged gzip: %w", err)
	}
	b := bufio.NewReaderSize(z, 64<<10)
	if h, _ := b.Peek(4); bytes.HasPrefix(h, []byte("\x1f\x8b")) || bytes.HasPrefix(h, []byte("PK\x03\x04")) {
		r.Close()
		return nil, errNested
	}
	return closers{b, []io.Closer{z, r}}, nil
}

// sharedFile is a file that several members of an archive are read from: it is open while
// any of them is.
type sharedFile struct {
	f     File
	mu    sync.Mutex
	users int
	open  io.ReadCloser
}

func (s *sharedFile) use() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.users == 0 {
		rc, err := s.f.Open()
		if err != nil {
			return err
		}
		s.open = rc
	}
	s.users++
	return nil
}

// Close ends one use.
func (s *sharedFile) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.users--; s.users > 0 {
		return nil
	}
	rc := s.open
	s.open = nil
	return rc.Close()
}

// ReadAt reads the file, which is in use.
func (s *sharedFile) ReadAt(p []byte, off int64) (int, error) {
	return s.open.(io.ReaderAt).ReadAt(p, off)
}

// zipDirectory reads an archive's list of members, once for all of them. A file without
// random access is read into memory.
func zipDirectory(f File, r io.Reader) (*zip.Reader, *sharedFile, error) {
	shared := &sharedFile{f: f}
	if _, ok := r.(io.ReaderAt); ok && f.Size > 0 {
		if err := shared.use(); err != nil {
			return nil, nil, err
		}
		defer shared.Close()
		z, err := zip.NewReader(shared, f.Size)
		return z, shared, err
	}
	b, err := io.ReadAll(io.LimitReader(r, zipInMemory+1))
	if err != nil {
		return nil, nil, err
	}
	if len(b) > zipInMemory {
		return nil, nil, errors.New("the archive is too large to unpack in memory; unpack it first")
	}
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	return z, nil, err
}

func zipMembers(f File) ([]Member, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	z, shared, err := zipDirectory(f, r)
	if err != nil {
		return nil, fmt.Errorf("damaged zip: %w", err)
	}
	var out []Member
	for _, e := range z.File {
		if e.Name == "[Content_Types].xml" {
			return nil, errors.New("this is a spreadsheet workbook, not a text export; save the sheet as CSV and give that")
		}
		if strings.HasSuffix(e.Name, "/") || strings.HasPrefix(e.Name, "__MACOSX/") || strings.HasSuffix(e.Name, ".DS_Store") {
			continue
		}
		out = append(out, Member{
			Name: f.Name + "/" + e.Name, Packed: "zip", Size: int64(e.UncompressedSize64),
			Open: func() (io.ReadCloser, error) { return openZip(e, shared) },
		})
	}
	return out, nil
}

// openZip opens one member; shared is nil where the archive is in memory.
func openZip(e *zip.File, shared *sharedFile) (io.ReadCloser, error) {
	closing := closers{}
	if shared != nil {
		if err := shared.use(); err != nil {
			return nil, err
		}
		closing.c = append(closing.c, shared)
	}
	m, err := e.Open()
	if err != nil {
		closing.Close()
		return nil, fmt.Errorf("damaged zip member: %w", err)
	}
	closing.c = append([]io.Closer{m}, closing.c...)
	b := bufio.NewReaderSize(m, 64<<10)
	if h, _ := b.Peek(4); bytes.HasPrefix(h, []byte("PK\x03\x04")) || bytes.HasPrefix(h, []byte("\x1f\x8b")) {
		closing.Close()
		return nil, errNested
	}
	closing.Reader = b
	return closing, nil
}

// Corrupt says whether an error while unpacking means that what came before it may be
// wrong, too: a checksum that does not fit, or bytes that no packing program writes.
func Corrupt(err error) bool {
	var bad flate.CorruptInputError
	return errors.Is(err, zip.ErrChecksum) || errors.Is(err, gzip.ErrChecksum) || errors.As(err, &bad)
}
