package dctest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"mime"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"
)

// schema is Discord's own description of its API, read once.
var schema = sync.OnceValues(loadSchema)

// loadSchema finds Discord's OpenAPI file beside the project; it is not part of it.
// A nil router: it is not there.
func loadSchema() (routers.Router, error) {
	dir, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		if filepath.Dir(dir) == dir {
			return nil, nil
		}
		dir = filepath.Dir(dir)
	}
	b, err := os.ReadFile(filepath.Join(dir, "..", "shared", "data", "discord", "openapi.json"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	doc, err := openapi3.NewLoader().LoadFromData(b)
	if err != nil {
		return nil, err
	}
	doc.Servers = openapi3.Servers{{URL: "/api/v9"}}
	return gorillamux.NewRouter(doc)
}

// validate holds a request to the schema. For a message with files that is the JSON
// beside them: the schema's form has the same fields.
func validate(req *http.Request, body []byte) error {
	router, err := schema()
	if err != nil || router == nil {
		return err
	}
	r := req.Clone(context.Background())
	r.Body = http.NoBody
	if len(body) > 0 {
		if kind, params, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind == "multipart/form-data" {
			form, err := multipart.NewReader(bytes.NewReader(body), params["boundary"]).ReadForm(64 << 20)
			if err != nil {
				return err
			}
			payload := form.Value["payload_json"]
			if len(payload) != 1 || !json.Valid([]byte(payload[0])) {
				return fmt.Errorf("a form without payload_json")
			}
			body = []byte(payload[0])
			r.Header.Set("Content-Type", "application/json")
		}
		r.Body = readCloser{bytes.NewReader(body)}
		r.ContentLength = int64(len(body))
	}
	route, params, err := router.FindRoute(r)
	if err != nil {
		return fmt.Errorf("%s %s is not in Discord's API: %w", r.Method, r.URL.Path, err)
	}
	return openapi3filter.ValidateRequest(context.Background(), &openapi3filter.RequestValidationInput{
		Request: r, PathParams: params, Route: route,
		Options: &openapi3filter.Options{AuthenticationFunc: openapi3filter.NoopAuthenticationFunc},
	})
}

type readCloser struct{ *bytes.Reader }

func (readCloser) Close() error { return nil }
