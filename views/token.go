package views

import (
	"html/template"
	"regexp"
	"slices"
)

// A form that changes something carries the token of the sign-in that its page was made for, so that no other site
// can have a browser send it. Every page's forms get it in one place, here, when the page is written: a template
// says <form method="post" …> and no more. A script that sends a body of its own sends the token as a header; it
// finds it in the page's <body data-token>.
const (
	TokenField  = "form_token"
	TokenHeader = "X-Form-Token"
)

// postForm is the opening tag of a form that changes something. What a page shows is escaped, so only a template
// writes one, and no value ends it early.
var postForm = regexp.MustCompile(`<form\b[^>]*\bmethod="post"[^>]*>`)

// withToken puts the token into every form of a page that changes something.
func withToken(page []byte, token string) []byte {
	if token == "" {
		return page
	}
	field := []byte(`<input type="hidden" name="` + TokenField + `" value="` + template.HTMLEscapeString(token) + `">`)
	return postForm.ReplaceAllFunc(page, func(tag []byte) []byte { return slices.Concat(tag, field) })
}

// formToken is the token that a page's forms carry.
func (f Frame) formToken() string { return f.Token }
