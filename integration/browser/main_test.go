package browser_test

import (
	"os"
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
)

func TestMain(m *testing.M) { os.Exit(browser.Main(m)) }
