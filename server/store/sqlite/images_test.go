package sqlite

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/integration/rounds"
	"github.com/rinktally/rinktally/server/store"
)

// imagesName is the variable that says how many images there are of each step.
const imagesName = "RINKTALLY_CRASH_IMAGES"

// sector is what a disk writes whole or not at all.
const sector = 512

// disk is what the two files of a database hold; the third is made from them.
type disk struct{ database, ahead []byte }

func diskOf(t *testing.T, path string) disk {
	t.Helper()
	var d disk
	var err error
	if d.database, err = os.ReadFile(path); err == nil {
		d.ahead, err = os.ReadFile(path + "-wal")
	}
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// torn is what a crash of the machine may leave between two pictures of a file: each
// sector as before or as after, in any order, since nothing was waited for in between.
// Where the file ended, nothing or zeros.
func torn(random *rand.Rand, before, after []byte) []byte {
	longer := max(len(before), len(after))
	one, two := make([]byte, longer), make([]byte, longer)
	copy(one, before)
	copy(two, after)
	end := len(before)
	for at := 0; at < longer; at += sector {
		to := min(at+sector, longer)
		if random.IntN(2) == 0 {
			copy(one[at:to], two[at:to])
			end = max(end, min(to, len(after)))
		}
	}
	return one[:end]
}

// open opens an image as a server does after the crash.
func (d disk) open(t *testing.T) *Log {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.db")
	for name, data := range map[string][]byte{path: d.database, path + "-wal": d.ahead} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return openFile(t, path)
}

// holds checks that an image holds what was acknowledged, and of the append under way,
// if there is one, all or nothing.
func (d disk) holds(t *testing.T, acknowledged, underWay []store.Record) error {
	t.Helper()
	log := d.open(t)
	head, err := store.Verify(t.Context(), log, "cup")
	if err != nil {
		return err
	}
	found := records(t, log, "cup")
	if want := acknowledged; !reflect.DeepEqual(found, want) && !reflect.DeepEqual(found, append(want[:len(want):len(want)], underWay...)) {
		return fmt.Errorf("%d records are there, %d were acknowledged, %d were under way", len(found), len(acknowledged), len(underWay))
	}
	// It goes on.
	_, err = log.Append(t.Context(), "cup", head.Seq, "after the crash", fact("more"))
	return err
}

// Whatever a crash of the machine leaves of the writes that nobody has waited for, every
// acknowledged append is there after it, the one under way is there whole or not at all,
// and the log goes on: while the write-ahead log grows, while it is copied into the
// database, and when it begins again from its start.
func TestCrashImages(t *testing.T) {
	each := rounds.Of(t, imagesName, 1)
	random := rand.New(rand.NewPCG(1, 2))
	path := filepath.Join(t.TempDir(), "log.db")
	log := openFile(t, path)
	var acknowledged []store.Record
	images := 0
	for generation := range 3 {
		for i := range 10 {
			before := diskOf(t, path)
			facts := make([]store.Fact, 1+i%3)
			for j := range facts {
				facts[j] = store.Fact{Kind: "k", Body: bytes.Repeat([]byte{byte(i)}, random.IntN(6000)), Apart: []byte("Ada Invented")}
			}
			result, err := log.Append(t.Context(), "cup", uint64(len(acknowledged)), fmt.Sprintf("%d.%d", generation, i), facts)
			if err != nil {
				t.Fatal(err)
			}
			after := diskOf(t, path)
			if !bytes.Equal(before.database, after.database) {
				t.Fatal("the append has written to the database itself; make the run shorter, so that it does not")
			}
			underWay, err := log.Read(t.Context(), "cup", result.First-1, 0)
			if err != nil {
				t.Fatal(err)
			}
			if len(acknowledged) > 0 {
				for range each {
					images++
					image := disk{before.database, torn(random, before.ahead, after.ahead)}
					if err := image.holds(t, acknowledged, underWay); err != nil {
						t.Fatalf("generation %d, append %d: %v", generation, i, err)
					}
				}
				if err := after.holds(t, acknowledged, nil); err == nil {
					t.Fatal("what is there is not found")
				}
			}
			if err := before.holds(t, append(acknowledged[:len(acknowledged):len(acknowledged)], underWay...), nil); err == nil {
				t.Fatal("a lost append is not found")
			}
			acknowledged = append(acknowledged, underWay...)
		}
		before := diskOf(t, path)
		// As much as can be copied, and the next append begins from the start.
		if _, err := log.write.ExecContext(t.Context(), "PRAGMA wal_checkpoint(RESTART)"); err != nil {
			t.Fatal(err)
		}
		after := diskOf(t, path)
		if bytes.Equal(before.database, after.database) || !bytes.Equal(before.ahead, after.ahead) {
			t.Fatal("the write-ahead log was not copied into the database")
		}
		for range 5 * each {
			images++
			image := disk{torn(random, before.database, after.database), before.ahead}
			if err := image.holds(t, acknowledged, nil); err != nil {
				t.Fatalf("copying of generation %d: %v", generation, err)
			}
		}
	}
	t.Logf("%d images, %d records", images, len(acknowledged))
}
