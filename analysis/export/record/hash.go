package record

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
)

// hashing is the SHA-256 of one file in the making. It goes on beside the
// reading of the same file, in a stream of its own: the file as it lies there,
// packed and undecoded.
type hashing struct {
	cancel context.CancelFunc
	done   chan struct{}
	sum    string
	err    error
}

// StartHash begins, if the sums are asked for; else it gives nil, whose sum is "".
func StartHash(ctx context.Context, f File, asked bool) *hashing {
	if !asked {
		return nil
	}
	ctx, cancel := context.WithCancel(ctx)
	h := &hashing{cancel: cancel, done: make(chan struct{})}
	go func() {
		defer close(h.done)
		h.sum, h.err = hashFile(ctx, f)
	}()
	return h
}

// Wait gives the sum in hexadecimal.
func (h *hashing) Wait() (string, error) {
	if h == nil {
		return "", nil
	}
	<-h.done
	return h.sum, h.err
}

// Stop ends it, whether it is done or not.
func (h *hashing) Stop() {
	if h != nil {
		h.cancel()
		<-h.done
	}
}

func hashFile(ctx context.Context, f File) (string, error) {
	rc, err := f.Open()
	if err != nil {
		return "", err
	}
	defer rc.Close()
	h := sha256.New()
	buf := make([]byte, 64<<10)
	for {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		n, err := rc.Read(buf)
		h.Write(buf[:n])
		if err == io.EOF {
			return hex.EncodeToString(h.Sum(nil)), nil
		}
		if err != nil {
			return "", err
		}
	}
}
