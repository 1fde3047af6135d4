package views

import "html/template"

// A form that changes something carries the token of the sign-in that its page was made for, so that no other site
// can have a browser send it: a template says <form method="post" …>{{token $.Token}}. A script that sends a body of its
// own sends the token as a header; it finds it in the page's <body data-token>.
const (
	TokenField  = "form_token"
	TokenHeader = "X-Form-Token"
)

// tokenField is the hidden field that carries the token, nothing where no cookie lets anybody in.
func tokenField(token string) template.HTML {
	if token == "" {
		return ""
	}
	return template.HTML(`<input type="hidden" name="` + TokenField + `" value="` + template.HTMLEscapeString(token) + `">`)
}
