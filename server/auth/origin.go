package auth

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/url"
)

// SameOrigin reports whether a request that a browser sends with its cookie may change anything: it comes from a
// page of this server, or changes nothing. It is the rule of net/http's CrossOriginProtection: Sec-Fetch-Site
// where the browser sends it (not over plain HTTP on a shop's network), else Origin against Host; a request with
// neither comes from no page.
func SameOrigin(method, host, fetchSite, origin string) bool {
	if Safe(method) {
		return true
	}
	switch fetchSite {
	case "same-origin", "none":
		return true
	case "":
	default:
		return false
	}
	if origin == "" {
		return true
	}
	from, err := url.Parse(origin)
	return err == nil && from.Host == host
}

// Safe reports whether a request of that method changes nothing.
func Safe(method string) bool {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodOptions:
		return true
	}
	return false
}

// FormToken returns the token that the forms of a signed-in browser carry. It follows from the cookie, so it needs
// no keeping and ends with the sign-in; the cookie doesn't follow from it.
func FormToken(cookie string) string {
	mac := hmac.New(sha256.New, []byte(cookie))
	mac.Write([]byte("form token"))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}
