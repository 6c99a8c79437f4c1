package repair_test

import (
	"testing"

	"needlebook/logbook/exchange/internal/trial"
)

func TestMain(m *testing.M) { trial.Main(m) }
