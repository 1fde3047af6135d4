package auth

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"tablehand/server/store"
	"tablehand/stations"
)

var ctx = context.Background()

// keeper opens a keeper of a new folder; now is the time that its clock tells.
func keeper(t *testing.T, dir string, now *time.Time) *Keeper {
	t.Helper()
	clock := func() time.Time { return *now }
	st, err := store.Open(ctx, store.Options{Dir: dir, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	k := New(st.Access)
	k.Clock = clock
	return k
}

func TestSignIn(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	k := keeper(t, t.TempDir(), &now)
	if _, _, err := k.SignIn(ctx, ""); !errors.Is(err, ErrUnknown) {
		t.Errorf("a shop without a passphrase lets in: %v", err)
	}
	passphrase, err := k.MakePassphrase(ctx)
	if err != nil || len(passphrase) < 20 {
		t.Fatalf("passphrase %q: %v", passphrase, err)
	}
	if again, err := k.MakePassphrase(ctx); again != "" || err != nil {
		t.Errorf("a second passphrase %q: %v", again, err)
	}
	for _, wrong := range []string{"", passphrase + "x", strings.ToUpper(passphrase), passphrase[1:]} {
		if _, _, err := k.SignIn(ctx, wrong); !errors.Is(err, ErrUnknown) {
			t.Errorf("%q lets in: %v", wrong, err)
		}
	}
	cookie, expires, err := k.SignIn(ctx, passphrase)
	if err != nil || !expires.After(now) {
		t.Fatalf("the passphrase does not let in: %v, until %s", err, expires)
	}
	actor, err := k.Session(ctx, cookie)
	if err != nil || actor.Role != stations.Office || actor.Device == "" {
		t.Errorf("the cookie is %+v: %v", actor, err)
	}
	id, secret, _ := strings.Cut(cookie, ".")
	for _, forged := range []string{"", id, id + ".", id + "." + secret[1:], "x." + secret, secret} {
		if _, err := k.Session(ctx, forged); !errors.Is(err, ErrUnknown) {
			t.Errorf("cookie %q lets in: %v", forged, err)
		}
	}
	now = expires.Add(time.Second)
	if _, err := k.Session(ctx, cookie); !errors.Is(err, ErrUnknown) {
		t.Errorf("an expired cookie lets in: %v", err)
	}
}

func TestSignOut(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	k := keeper(t, t.TempDir(), &now)
	k.Pass = "reed"
	one, _, err := k.SignIn(ctx, "reed")
	if err != nil {
		t.Fatal(err)
	}
	two, _, err := k.SignIn(ctx, "reed")
	if err != nil {
		t.Fatal(err)
	}
	id, _, _ := strings.Cut(one, ".")
	if err := k.SignOut(ctx, id+".forged"); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Session(ctx, one); err != nil {
		t.Error("a forged cookie signs another out")
	}
	if err := errors.Join(k.SignOut(ctx, one), k.SignOut(ctx, one)); err != nil {
		t.Error(err)
	}
	if _, err := k.Session(ctx, one); !errors.Is(err, ErrUnknown) {
		t.Errorf("signed out and still in: %v", err)
	}
	if _, err := k.Session(ctx, two); err != nil {
		t.Errorf("signing one out signs the other out: %v", err)
	}
}

// A token that another process makes is good at once.
func TestTokens(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	dir := t.TempDir()
	k := keeper(t, dir, &now)
	other, err := store.OpenAccess(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	devices := map[string]bool{}
	for _, role := range []stations.Role{stations.Office, stations.Program, stations.Bench, stations.Screen} {
		secret, err := New(other).NewToken(ctx, "Table", role)
		if err != nil {
			t.Fatal(err)
		}
		actor, err := k.Token(ctx, secret)
		if err != nil || actor.Role != role || actor.Name != "Table" || devices[actor.Device] {
			t.Errorf("token of %s is %+v: %v", role, actor, err)
		}
		devices[actor.Device] = true
		if _, err := k.Token(ctx, secret+"x"); !errors.Is(err, ErrUnknown) {
			t.Errorf("a made-up token lets in: %v", err)
		}
	}
}

func TestPassphraseHash(t *testing.T) {
	a, b := hashPassphrase("reed"), hashPassphrase("reed")
	if a == b || strings.Contains(a, "reed") {
		t.Errorf("hashes %q and %q", a, b)
	}
	// A hash made at a lower cost still counts.
	for _, kept := range []string{a, "$argon2id$v=19$m=64,t=1,p=1$c29tZXNhbHQ$KP5HQk2v2v+cve+aqFp4mjwKD/LQB040fo+rK0Wl68c"} {
		if ok, err := matches("reed", kept); !ok || err != nil {
			t.Errorf("%q: %v %v", kept, ok, err)
		}
		if ok, err := matches("read", kept); ok || err != nil {
			t.Errorf("%q matches another: %v", kept, err)
		}
	}
	for _, damaged := range []string{"", "x", "$argon2id$v=19$m=0$a$b", "$argon2id$v=19$m=64,t=1,p=0$c29tZQ$c29tZQ", "$bcrypt$v=19$m=64,t=1,p=1$c29tZQ$c29tZQ", a + "!"} {
		if ok, err := matches("reed", damaged); ok || !errors.Is(err, errBadHash) {
			t.Errorf("damaged %q: %v %v", damaged, ok, err)
		}
	}
}

func TestSameOrigin(t *testing.T) {
	tests := []struct {
		method, host, site, origin string
		want                       bool
	}{
		{http.MethodGet, "shop:8080", "cross-site", "http://elsewhere", true},
		{http.MethodPost, "shop:8080", "same-origin", "", true},
		{http.MethodPost, "shop:8080", "none", "", true},
		{http.MethodPost, "shop:8080", "cross-site", "http://shop:8080", false},
		{http.MethodPost, "shop:8080", "same-site", "", false},
		{http.MethodPost, "shop:8080", "", "http://shop:8080", true},
		{http.MethodPost, "shop:8080", "", "http://shop:9090", false},
		{http.MethodPost, "shop:8080", "", "http://elsewhere", false},
		{http.MethodPost, "shop:8080", "", "null", false},
		{http.MethodPost, "shop:8080", "", "", true},
		{http.MethodDelete, "shop:8080", "", "http://elsewhere", false},
	}
	for _, tt := range tests {
		if got := SameOrigin(tt.method, tt.host, tt.site, tt.origin); got != tt.want {
			t.Errorf("%+v: %v", tt, got)
		}
	}
}
