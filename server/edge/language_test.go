package edge

import (
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/gofiber/fiber/v2"
)

// TestPersonOf: a name comes back as it was typed; what a cookie can't mean is nobody.
func TestPersonOf(t *testing.T) {
	for cookie, want := range map[string]string{
		"Ada":                            "Ada",
		"Mar%C3%ADa+Jos%C3%A9":           "María José",
		"%zz":                            "",
		"Ada%":                           "",
		strings.Repeat("a", 4*MaxName):   strings.Repeat("a", 4*MaxName),
		strings.Repeat("a", 4*MaxName+1): "",
	} {
		app := fiber.New()
		got := "unasked"
		app.Get("/", func(c *fiber.Ctx) error {
			got = strings.Clone(PersonOf(c))
			return nil
		})
		req := httptest.NewRequest("GET", "/", nil)
		req.Header.Set("Cookie", PersonCookie+"="+cookie)
		if _, err := app.Test(req); err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("%.20s: %.20q, want %.20q", cookie, got, want)
		}
	}
}
