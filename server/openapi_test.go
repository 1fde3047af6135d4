package server

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"

	"tablehand/server/api"
	"tablehand/server/edge"
	"tablehand/server/web"
)

func init() {
	openapi3filter.RegisterBodyDecoder("text/csv", openapi3filter.FileBodyDecoder) // its own knows no semicolons
	openapi3filter.RegisterBodyDecoder("image/svg+xml", openapi3filter.FileBodyDecoder)
}

// description is the document that the server gives out.
func description(t testing.TB) *openapi3.T {
	t.Helper()
	doc, err := loadDescription()
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// loadDescription reads it once for all shops of these tests.
var loadDescription = sync.OnceValues(func() (*openapi3.T, error) { return openapi3.NewLoader().LoadFromData(openapiYAML) })

func TestDescriptionIsValid(t *testing.T) {
	if err := description(t).Validate(context.Background()); err != nil {
		t.Error(err)
	}
}

// TestDescriptionHasEveryRoute: what is served is described, and what is described is served.
func TestDescriptionHasEveryRoute(t *testing.T) {
	var described, served []string
	for path, item := range description(t).Paths.Map() {
		for method := range item.Operations() {
			described = append(described, method+" "+path)
		}
	}
	param := regexp.MustCompile(`:([a-z]+)`)
	for _, r := range edge.Of(roomsOf(&api.API{}, &web.Site{})...) {
		if strings.HasPrefix(r.Path, "/api/") {
			served = append(served, r.Method+" "+param.ReplaceAllString(r.Path, "{$1}"))
		}
	}
	slices.Sort(described)
	slices.Sort(served)
	for _, r := range served {
		if !slices.Contains(described, r) {
			t.Errorf("%s is served and not described", r)
		}
	}
	for _, r := range described {
		if !slices.Contains(served, r) {
			t.Errorf("%s is described and not served", r)
		}
	}
}

// describer holds answers against the description.
type describer struct{ router routers.Router }

func newDescriber(t testing.TB) *describer {
	t.Helper()
	router, err := gorillamux.NewRouter(description(t))
	if err != nil {
		t.Fatal(err)
	}
	return &describer{router}
}

// check holds an answer, and the request if it was accepted, against the description.
func (d *describer) check(t testing.TB, req *http.Request, sent []byte, got answer) {
	t.Helper()
	route, params, err := d.router.FindRoute(req)
	if err != nil {
		if got.status == http.StatusNotFound || got.status == http.StatusUnauthorized || got.status == http.StatusMethodNotAllowed {
			return // an address that isn't there
		}
		t.Fatalf("%s %s is not described: %v", req.Method, req.URL, err)
	}
	options := &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true,
		AuthenticationFunc: openapi3filter.NoopAuthenticationFunc}
	in := &openapi3filter.RequestValidationInput{Request: req, PathParams: params, Route: route, Options: options}
	if got.status < 300 {
		req.Body = io.NopCloser(bytes.NewReader(sent))
		if err := openapi3filter.ValidateRequest(context.Background(), in); err != nil {
			t.Errorf("%s %s was accepted: %v", req.Method, req.URL, err)
		}
	}
	out := &openapi3filter.ResponseValidationInput{RequestValidationInput: in, Status: got.status, Header: got.header, Options: options}
	out.SetBodyBytes(got.body)
	if err := openapi3filter.ValidateResponse(context.Background(), out); err != nil {
		t.Errorf("%s %s answered otherwise than described: %v\n%s", req.Method, req.URL, err, got.body)
	}
}
