package rules

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"shimwright/calc/unit"
)

// Bounds of a file a person edits. Anything beyond is a mistake or an attack.
const (
	maxFileBytes = 256 << 10
	maxDepth     = 12 // nested lists and mappings
	maxFiles     = 300
	maxProblems  = 100 // told of one file
)

// source is one file being read, with the place its problems go.
type source struct {
	name    string
	lines   []string
	report  *Report
	units   unit.System // the habit the file states
	written []written   // the figures read so far
	told    int         // problems so far
}

// newSource takes a file apart into lines.
func newSource(name string, data []byte, report *Report) *source {
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.ReplaceAll(text, "\r\n", "\n")
	return &source{name: name, lines: strings.Split(text, "\n"), report: report}
}

// fault reports a mistake at a place.
func (s *source) fault(line, column int, hint, format string, args ...any) {
	s.add(line, column, hint, false, fmt.Sprintf(format, args...))
}

// warn reports something to look at.
func (s *source) warn(line, column int, hint, format string, args ...any) {
	s.add(line, column, hint, true, fmt.Sprintf(format, args...))
}

func (s *source) add(line, column int, hint string, warning bool, text string) {
	if s.told++; s.told > maxProblems {
		if s.told == maxProblems+1 {
			s.report.Problems = append(s.report.Problems, Problem{File: s.name, Text: "there is more; put these right first", Warning: warning})
		}
		return
	}
	p := Problem{File: s.name, Line: line, Column: column, Text: text, Hint: hint, Warning: warning}
	if line > 0 && line <= len(s.lines) {
		p.source = strings.TrimRight(s.lines[line-1], " ")
	}
	s.report.Problems = append(s.report.Problems, p)
}

// at and look report at a node.
func (s *source) at(n *yaml.Node, hint, format string, args ...any) {
	s.fault(n.Line, n.Column, hint, format, args...)
}

func (s *source) look(n *yaml.Node, hint, format string, args ...any) {
	s.warn(n.Line, n.Column, hint, format, args...)
}

// parse turns a file into the node of its one document. Where the text is not
// YAML that is reported and nil is given.
func parse(s *source, data []byte) *yaml.Node {
	if len(data) > maxFileBytes {
		s.fault(0, 0, "cut it into several files", "the file is larger than the %d KiB that are read", maxFileBytes>>10)
		return nil
	}
	if !s.readable(data) {
		return nil
	}
	loader, err := yaml.NewLoader(bytes.NewReader([]byte(strings.Join(s.lines, "\n"))),
		yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(maxDepth))))
	if err != nil {
		s.fault(0, 0, "", "cannot be read: %v", err)
		return nil
	}
	var doc yaml.Node
	switch err := loader.Load(&doc); {
	case errors.Is(err, io.EOF):
		s.fault(0, 0, "", "the file is empty")
		return nil
	case err != nil:
		s.broken(err)
		return nil
	}
	var more yaml.Node
	switch err := loader.Load(&more); {
	case err == nil:
		s.at(&more, "keep one document, without ---", "a second document begins here")
	case !errors.Is(err, io.EOF):
		s.broken(err)
		return nil
	}
	if len(doc.Content) != 1 {
		s.fault(0, 0, "", "the file is empty")
		return nil
	}
	root := doc.Content[0]
	s.plain(root)
	return root
}

// readable finds what is wrong with the text before it is parsed: bytes that are
// no UTF-8, control characters, tabs for indentation. All of them are reported.
func (s *source) readable(data []byte) bool {
	good := true
	if !utf8.Valid(data) {
		for i, line := range s.lines {
			if at := invalid(line); at >= 0 {
				s.fault(i+1, utf8.RuneCountInString(line[:at])+1, "save the file as UTF-8", "a byte that is not UTF-8 (0x%02x)", line[at])
				good = false
			}
		}
	}
	for i, line := range s.lines {
		indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
		if at := strings.IndexByte(indent, '\t'); at >= 0 && len(indent) < len(line) {
			s.fault(i+1, at+1, "indent with spaces", "a tab in the indentation")
			good = false
		}
		for at, r := range line {
			if r < ' ' && r != '\t' || r == 0x7f {
				s.fault(i+1, utf8.RuneCountInString(line[:at])+1, "delete it", "a control character (0x%02x)", r)
				good = false
				break
			}
		}
	}
	return good
}

// invalid gives the place of the first byte that is not UTF-8, −1 where all are.
func invalid(line string) int {
	for i := 0; i < len(line); {
		r, size := utf8.DecodeRuneInString(line[i:])
		if r == utf8.RuneError && size <= 1 {
			return i
		}
		i += size
	}
	return -1
}

// broken reports what the YAML parser could not read, at its place.
func (s *source) broken(err error) {
	var le *yaml.LoadError
	if !errors.As(err, &le) {
		s.fault(0, 0, "", "not YAML: %v", err)
		return
	}
	mark, text := le.Mark, le.Message
	// The parser notices an open quote or bracket only at the end of the file;
	// where it began is the place to look.
	if le.ContextMark.Line > 0 && mark.Line >= len(s.lines) && le.ContextMark.Line < mark.Line {
		mark = le.ContextMark
	}
	if le.ContextMsg != "" {
		text = le.ContextMsg + ": " + text
	}
	s.fault(min(mark.Line, len(s.lines)), max(mark.Column, 1), "check colons, quotes and indentation near here", "not YAML: %s", text)
}

// plain reports what a file of ours does not use: anchors, aliases, tags and
// keys that are not words.
func (s *source) plain(n *yaml.Node) {
	if n.Anchor != "" && n.Kind != yaml.AliasNode {
		s.at(n, "write the value out", "an anchor (&%s), which these files do not use", n.Anchor)
	}
	switch {
	case n.Kind == yaml.AliasNode:
		s.at(n, "write the value out", "an alias (*%s), which these files do not use", n.Value)
		return
	case n.Style&yaml.TaggedStyle != 0:
		s.at(n, "leave the tag out", "a tag (%s), which these files do not use", n.Tag)
	}
	for _, child := range n.Content {
		s.plain(child)
	}
}

// yamlFiles lists the files of a folder that are read, sorted; a folder that
// does not exist has none. Files that look as if they were meant are reported.
func yamlFiles(dir fs.FS, folder string, report *Report) []string {
	entries, err := fs.ReadDir(dir, folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		report.Problems = append(report.Problems, Problem{File: folder, Text: "the folder cannot be read: " + reason(err)})
		return nil
	}
	var files []string
	for _, e := range entries {
		name := e.Name()
		switch {
		case strings.HasPrefix(name, ".") || e.IsDir():
		case !e.Type().IsRegular() && e.Type()&fs.ModeSymlink == 0: // reading a pipe would wait for ever
			report.Problems = append(report.Problems, Problem{File: path.Join(folder, name), Warning: true, Text: "not read, it is not a plain file"})
		case path.Ext(name) == ".yaml":
			files = append(files, path.Join(folder, name))
		case slices.Contains([]string{".yml", ".YAML", ".YML"}, path.Ext(name)):
			report.Problems = append(report.Problems, Problem{File: path.Join(folder, name), Warning: true,
				Text: "not read because of its ending", Hint: "name it " + strings.TrimSuffix(name, path.Ext(name)) + ".yaml"})
		}
	}
	if len(files) > maxFiles {
		report.Problems = append(report.Problems, Problem{File: folder, Text: fmt.Sprintf("%d files, at most %d are read", len(files), maxFiles)})
		files = files[:maxFiles]
	}
	return files
}

// readFile reads a file of a folder; a file that cannot be read is reported.
func readFile(dir fs.FS, name string, report *Report) ([]byte, bool) {
	fault := func(err error) ([]byte, bool) {
		report.Problems = append(report.Problems, Problem{File: name, Text: "the file cannot be read: " + reason(err)})
		return nil, false
	}
	f, err := dir.Open(name)
	if err != nil {
		return fault(err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err != nil {
		return fault(err)
	}
	return data, true
}

// reason gives an error without the path it repeats.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}
