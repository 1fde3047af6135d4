package edge

import (
	"net"
	"net/netip"
	"testing"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"
)

// A network of IPv6 is one guesser, however many addresses it has.
func TestGuessersByNetwork(t *testing.T) {
	e, app := &Edge{}, fiber.New()
	guesser := func(remote string) string {
		var request fasthttp.RequestCtx
		request.Init(&fasthttp.Request{}, &net.TCPAddr{IP: net.ParseIP(remote), Port: 5000}, nil)
		c := app.AcquireCtx(&request)
		defer app.ReleaseCtx(c)
		name, _ := e.guesser(c)
		return name
	}
	if a, b := guesser("2001:db8:1:2::7"), guesser("2001:db8:1:2:ffff::9"); a != b {
		t.Errorf("%q and %q guess twice as often as one", a, b)
	}
	for _, pair := range [][2]string{{"2001:db8:1:2::7", "2001:db8:1:3::7"}, {"192.168.1.7", "192.168.1.8"}} {
		if a, b := guesser(pair[0]), guesser(pair[1]); a == b {
			t.Errorf("%v count as one, %q", pair, a)
		}
	}
}

func TestClientBehindProxies(t *testing.T) {
	s := &Edge{Proxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/24"), netip.MustParsePrefix("fd00::5/128")}}
	app := fiber.New()
	for _, tt := range []struct {
		name, remote string
		told         []string
		want         string
	}{
		{"nobody between", "192.168.1.7", nil, "192.168.1.7"},
		{"a stranger says he is another", "192.168.1.7", []string{"1.2.3.4"}, "192.168.1.7"},
		{"a proxy on the machine", "127.0.0.1", []string{"192.168.1.7"}, "192.168.1.7"},
		{"a proxy on the machine, IPv6", "::1", []string{"fd00::7"}, "fd00::7"},
		{"the machine itself", "127.0.0.1", nil, "127.0.0.1"},
		{"a configured proxy", "10.0.0.9", []string{"192.168.1.7"}, "192.168.1.7"},
		{"one of IPv6", "fd00::5", []string{"192.168.1.7"}, "192.168.1.7"},
		{"another of that network", "10.0.1.9", []string{"192.168.1.7"}, "10.0.1.9"},
		{"two proxies", "127.0.0.1", []string{"192.168.1.7, 10.0.0.9"}, "192.168.1.7"},
		{"two lines", "127.0.0.1", []string{"192.168.1.7", "10.0.0.9"}, "192.168.1.7"},
		{"made up before the proxy", "10.0.0.9", []string{"1.2.3.4, 192.168.1.7"}, "192.168.1.7"},
		{"a proxy made up", "10.0.0.9", []string{"1.2.3.4, 10.0.0.1, 192.168.1.7"}, "192.168.1.7"},
		{"nonsense", "10.0.0.9", []string{"unknown"}, "10.0.0.9"},
		{"nonsense before", "10.0.0.9", []string{"x, 192.168.1.7"}, "192.168.1.7"},
		{"IPv4 in IPv6", "127.0.0.1", []string{"::ffff:192.168.1.7"}, "192.168.1.7"},
	} {
		var request fasthttp.RequestCtx
		request.Init(&fasthttp.Request{}, &net.TCPAddr{IP: net.ParseIP(tt.remote), Port: 5000}, nil)
		for _, line := range tt.told {
			request.Request.Header.Add("X-Forwarded-For", line)
		}
		c := app.AcquireCtx(&request)
		if got := s.Client(c); got.String() != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
		app.ReleaseCtx(c)
	}
}
