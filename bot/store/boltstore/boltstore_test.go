package boltstore

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

func TestConformance(t *testing.T) {
	dir := t.TempDir()
	storetest.Run(t, func(t testing.TB, name string) store.Backend {
		s := open(t, filepath.Join(dir, strings.ReplaceAll(name, "/", "_")))
		s.db.NoSync = strings.HasPrefix(name, "model") // thousands of commits that nobody relies on
		return s
	})
}

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}
