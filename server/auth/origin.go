package auth

import (
	"net/http"
	"net/url"
)

// SameOrigin reports whether a request that a browser sends with its cookie may change anything: it comes from a
// page of this server, or changes nothing. It is the rule of net/http's CrossOriginProtection: Sec-Fetch-Site
// where the browser sends it (not over plain HTTP on a shop's network), else Origin against Host; a request with
// neither comes from no page.
func SameOrigin(method, host, fetchSite, origin string) bool {
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodOptions:
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
