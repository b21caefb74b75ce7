package rules

import (
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// A secret that stands in a file by mistake is not repeated in what is said of it.
func TestFormHidesSecrets(t *testing.T) {
	const secret = "x7secretx7"
	for _, text := range []string{
		"token: " + secret,
		"\"token\": " + secret,
		"- Bot_Token: '" + secret + "'",
		"token_env: " + secret,
		"password : " + secret,
		"redis: {database: 1, token_env: NAME, password: \"" + secret + "\", prefix: a}",
		"{token_file: a, tls: yes, Password: " + secret + ",more}",
		"tokne: " + secret,
		"signing_key: [" + secret,
		"token: |\n  a\ntoken_env: \t" + secret + "\x01",
	} {
		var report Report
		form, root := OpenForm("f.yaml", []byte(text), &report)
		if root != nil {
			form.Mapping(root, "the file", May("name", func(*yaml.Node) {}))
		}
		var out strings.Builder
		if err := report.Print(&out); err != nil || len(report.Problems) == 0 {
			t.Fatalf("%q: %v, %d problems", text, err, len(report.Problems))
		}
		if strings.Contains(out.String(), secret) {
			t.Errorf("%q is repeated:\n%s", text, out.String())
		}
	}
	for _, line := range []string{"token_env: SHOP_TOKEN # of the bot", "token_file: /run/secrets/token", "{token_env: SHOP_TOKEN, url: x}", "url: https://chat.example.org"} {
		if got := masked(line); got != line {
			t.Errorf("%q is shown as %q", line, got)
		}
	}
}
