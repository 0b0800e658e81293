package main

import (
	"os"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func init() {
	// Linux knows the user files are touched as by thread.
	asNobody = func(t *testing.T) {
		const nobody = 65534
		runtime.LockOSThread()
		require.NoError(t, syscall.Setfsuid(nobody))
		t.Cleanup(func() {
			require.NoError(t, syscall.Setfsuid(os.Getuid()))
			runtime.UnlockOSThread()
		})
	}
}
