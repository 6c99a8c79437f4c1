//go:build !unix

package trace_test

import "testing"

// caseFolding is a folder on a disk that takes two cases for one; here the ordinary one does.
func caseFolding(t *testing.T) string { return t.TempDir() }
