package main

import (
	"os"
	"regexp"
	"runtime"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/rules"
)

// secretKeys are the keys of one secret in a mapping.
type secretKeys struct {
	r      *configReader
	what   string
	to     *string
	fields []rules.Field
	from   struct{ env, file string }
}

// secret makes the keys NAME_env and NAME_file, and refuses NAME itself. Its value
// is there after read.
func (r *configReader) secret(what string, to *string) *secretKeys {
	s := &secretKeys{r: r, what: what, to: to}
	s.fields = []rules.Field{
		rules.May(what, func(n *yaml.Node) {
			r.Mistake(n, "write "+what+"_env: with the name of an environment variable, or "+what+"_file: with a file; and make a new one, this one has been read", "a %s does not belong in this file", what)
		}),
		rules.May(what+"_env", r.Text(what+"_env", 1000, &s.from.env)),
		rules.May(what+"_file", r.path(what+"_file", &s.from.file)),
	}
	return s
}

var envName = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)

// read fetches the secret, and says whether the mapping names one.
func (s *secretKeys) read(given map[string]*yaml.Node) bool {
	env, file := given[s.what+"_env"], given[s.what+"_file"]
	if given[s.what] != nil {
		return true
	}
	switch {
	case env != nil && file != nil:
		s.r.Mistake(file, "keep one of them", "%s_env and %s_file are both given", s.what, s.what)
	case env != nil && s.from.env != "":
		if !envName.MatchString(s.from.env) {
			s.r.Mistake(env, "write the name alone, for example SHOP_TOKEN", "%s_env is not the name of an environment variable", s.what)
			return true
		}
		*s.to = strings.TrimSpace(s.r.getenv(s.from.env))
		if *s.to == "" {
			// The name is not repeated: somebody may have put the secret itself here.
			s.r.Mistake(env, "set it for the service that starts shimwright, for example in its environment file", "the environment variable that %s_env names is not set", s.what)
		}
	case file != nil && s.from.file != "":
		text, hint, err := readSecret(s.from.file)
		if err != "" {
			s.r.Mistake(file, hint, "%s: %s", s.from.file, err)
		}
		*s.to = text
	}
	return env != nil || file != nil
}

// readSecret reads a file that only its owner, and perhaps a group, can read.
func readSecret(file string) (text, hint, fault string) {
	data, err := readBounded(file)
	if err != nil {
		return "", "let it be readable for the user shimwright runs as", "the file cannot be read: " + err.Error()
	}
	if info, err := os.Stat(file); err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o027 != 0 {
		return "", "chmod 600 " + file, "everybody on this machine can read or change it"
	}
	text = strings.TrimSpace(string(data))
	switch {
	case text == "":
		return "", "put the token into it, alone", "the file is empty"
	case strings.ContainsAny(text, "\n\r"):
		return "", "put the token into it, alone", "the file has several lines"
	}
	return text, "", ""
}
