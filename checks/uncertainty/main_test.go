package uncertainty

import (
	"testing"

	"needlebook/checks/internal/referee"
)

func TestMain(m *testing.M) { referee.Main(m) }
