package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

// A folder that can't be written is named. Root may write everywhere, so for as long as the shop opens this thread
// looks at files as nobody does.
func TestASealedFolderIsNamed(t *testing.T) {
	parent := t.TempDir()
	sealed := filepath.Join(parent, "sealed")
	if err := errors.Join(os.Chmod(filepath.Dir(parent), 0o755), os.Mkdir(sealed, 0o555)); err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 {
		const nobody = 65534
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		if err := syscall.Setfsuid(nobody); err != nil {
			t.Fatal(err)
		}
		defer syscall.Setfsuid(0)
	}
	var folder *FolderError
	_, err := Open(context.Background(), Options{Dir: sealed})
	if !errors.As(err, &folder) || folder.Dir != sealed || !errors.Is(err, os.ErrPermission) {
		t.Errorf("a folder that can't be written: %v", err)
	}
}
