package store

import "context"

// MaxFile is how many bytes a file has at most.
const MaxFile = 4 << 20

// Files is the part of a Backend that keeps files beside a stream, such as a job's
// photos. They are no part of the stream: nothing says in it that one came or went,
// and a batch does not touch them. A file never changes under its name, so names are
// best made from what is in it.
type Files interface {
	// PutFile keeps a file, durably once it returns nil. One of that name is left as
	// it is. ErrQuota when the stream's files would have more than quota bytes
	// together; nothing is kept then.
	PutFile(ctx context.Context, stream, name string, data []byte, quota int64) error

	// File gives a file; ErrNoFile where there is none of that name. The caller may
	// keep and change the bytes.
	File(ctx context.Context, stream, name string) ([]byte, error)

	// Files lists the files of a stream by name, in byte order.
	Files(ctx context.Context, stream string) ([]FileInfo, error)

	// DeleteFile takes a file away for good; one that is not there is no error.
	DeleteFile(ctx context.Context, stream, name string) error
}

// FileInfo is one file of a stream.
type FileInfo struct {
	Name string
	Size int64 // bytes
}

// PutFile keeps a file beside a stream whose files may have quota bytes together; see
// Files. It may be repeated.
func (s *Store) PutFile(ctx context.Context, stream, name string, data []byte, quota int64) error {
	if err := checkFile(stream, name); err != nil {
		return err
	}
	if len(data) == 0 || len(data) > MaxFile {
		return invalid("the file %q has %d bytes, and 1 to %d can be kept", name, len(data), MaxFile)
	}
	return s.backend.PutFile(ctx, stream, name, data, quota)
}

// File gives a file of a stream; ErrNoFile where there is none.
func (s *Store) File(ctx context.Context, stream, name string) ([]byte, error) {
	if err := checkFile(stream, name); err != nil {
		return nil, err
	}
	return patient(ctx, func() ([]byte, error) { return s.backend.File(ctx, stream, name) })
}

// Files lists the files of a stream by name.
func (s *Store) Files(ctx context.Context, stream string) ([]FileInfo, error) {
	if err := checkName("stream", stream); err != nil {
		return nil, err
	}
	return patient(ctx, func() ([]FileInfo, error) { return s.backend.Files(ctx, stream) })
}

// DeleteFile takes a file of a stream away for good.
func (s *Store) DeleteFile(ctx context.Context, stream, name string) error {
	if err := checkFile(stream, name); err != nil {
		return err
	}
	return s.backend.DeleteFile(ctx, stream, name)
}

func checkFile(stream, name string) error {
	if err := checkName("stream", stream); err != nil {
		return err
	}
	return checkName("file", name)
}
