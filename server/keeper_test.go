package server

import (
	"context"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/server/store"
	"tablehand/stations"
)

func newTestKeeper(t testing.TB, st *store.Store, clock func() time.Time) *auth.Keeper {
	k := auth.New(st.Access)
	k.Clock = clock
	k.Pass = testPassphrase
	return k
}

func newTestToken(t testing.TB, k *auth.Keeper, role stations.Role) string {
	tok, err := k.NewToken(context.Background(), string(role), role)
	if err != nil {
		t.Fatal(err)
	}
	return tok
}
