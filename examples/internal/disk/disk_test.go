package disk

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// set is a set of files that all say which one it is.
func set(generation string) []File {
	var files []File
	for n := range 8 {
		files = append(files, File{fmt.Sprint("file", n), func(w io.Writer) error {
			for range 1 << (2 * n) {
				if _, err := io.WriteString(w, generation+"\n"); err != nil {
					return err
				}
			}
			return nil
		}})
	}
	return files
}

// tree returns what stands below a folder: the names of folders, and the first
// lines of files with their lengths.
func tree(t testing.TB, root string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == root {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil || d.IsDir() {
			all[name] = ""
			return err
		}
		data, err := os.ReadFile(path)
		line, _, _ := strings.Cut(string(data), "\n")
		all[name] = fmt.Sprint(line, " ", len(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// made is the tree of a set in the folder out.
func made(t testing.TB, generation string, more ...string) map[string]string {
	all := map[string]string{"out": ""}
	for n := range 8 {
		all[filepath.Join("out", fmt.Sprint("file", n))] = fmt.Sprint(generation, " ", (len(generation)+1)<<(2*n))
	}
	for n := 0; n < len(more); n += 2 {
		all[filepath.FromSlash(more[n])] = more[n+1]
	}
	return all
}

func put(t testing.TB, path, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

func check(t *testing.T, root string, want map[string]string) {
	t.Helper()
	if diff := cmp.Diff(want, tree(t, root)); diff != "" {
		t.Error(diff)
	}
}

// own is what a player has in the folder beside the set.
var own = []string{"out/mine.wav", "mine 4", "out/takes", "", "out/takes/one", "one 3"}

func putOwn(t testing.TB, root, at string) {
	put(t, filepath.Join(root, at, "mine.wav"), "mine")
	put(t, filepath.Join(root, at, "takes", "one"), "one")
}

func TestFolder(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	for _, g := range []string{"a", "bb"} {
		if err := WriteFolder(context.Background(), out, set(g)); err != nil {
			t.Fatal(err)
		}
		check(t, root, made(t, g))
	}
	putOwn(t, root, "out")
	if err := errors.Join(os.Chmod(out, 0o700), WriteFolder(context.Background(), out, set("c"))); err != nil {
		t.Fatal(err)
	}
	check(t, root, made(t, "c", own...))
	if info, err := os.Stat(out); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o700 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	// Through a link to the folder, and with folders above it that are not there.
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(out, link); err == nil {
		if err := WriteFolder(context.Background(), link, set("d")); err != nil {
			t.Fatal(err)
		}
		check(t, root, made(t, "d", own...))
		if _, err := os.Readlink(link); err != nil {
			t.Error(err)
		}
	}
	below := t.TempDir()
	if err := WriteFolder(context.Background(), filepath.Join(below, "x", "y", "out"), set("e")); err != nil {
		t.Fatal(err)
	}
	check(t, filepath.Join(below, "x", "y"), made(t, "e"))
}

// TestNothingIsWrittenAndNothingLost: whatever fails, all is as it was.
func TestNothingIsWrittenAndNothingLost(t *testing.T) {
	full := errors.New("no space left")
	broken := set("new")
	broken[5].Write = func(w io.Writer) error { io.WriteString(w, "half"); return full }
	cancelled, cancel := context.WithCancel(context.Background())
	stopped := set("new")
	stopped[3].Write = func(w io.Writer) error {
		cancel()
		_, err := io.WriteString(w, strings.Repeat("x", 1<<20))
		return err
	}
	last := set("new")
	ended, end := context.WithCancel(context.Background())
	last[7].Write = func(w io.Writer) error { end(); return nil }
	for _, c := range []struct {
		what, want string
		ctx        context.Context
		files      []File
		before     func(out string)
	}{
		{"a disk that is full", "file5 could not be written, and nothing was: no space left", context.Background(), broken, nil},
		{"an interrupt", "could not be written, and nothing was: context canceled", cancelled, stopped, nil},
		{"an interrupt at the end", "context canceled", ended, last, nil},
		{"a folder in the way", "file2 is in the way", context.Background(), set("new"), func(out string) {
			os.Remove(filepath.Join(out, "file2"))
			put(t, filepath.Join(out, "file2", "inside"), "inside")
		}},
	} {
		for _, there := range []bool{false, true} {
			if c.before != nil && !there {
				continue
			}
			root := t.TempDir()
			out := filepath.Join(root, "out")
			if there {
				if err := WriteFolder(context.Background(), out, set("old")); err != nil {
					t.Fatal(err)
				}
				putOwn(t, root, "out")
			}
			if c.before != nil {
				c.before(out)
			}
			before := tree(t, root)
			if err := WriteFolder(c.ctx, out, c.files); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v", c.what, err)
			}
			check(t, root, before)
		}
	}
}

func TestWhatNoFolderCanReplace(t *testing.T) {
	root := t.TempDir()
	put(t, filepath.Join(root, "file"), "file")
	before := tree(t, root)
	for _, path := range []string{filepath.Join(root, "file"), filepath.Join(root, "file", "below")} {
		if err := WriteFolder(context.Background(), path, set("a")); err == nil {
			t.Errorf("written into %s", path)
		}
	}
	check(t, root, before)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{".", "..", here} {
		if err := WriteFolder(context.Background(), path, set("a")); err == nil || !strings.Contains(err.Error(), "the folder that you stand in") {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// TestWhatAKillLeaves makes the folders that a kill leaves at each step of the
// writing, and writes once more.
func TestWhatAKillLeaves(t *testing.T) {
	whole := func(path, g string) {
		if err := WriteFolder(context.Background(), path, set(g)); err != nil {
			t.Fatal(err)
		}
	}
	for what, leave := range map[string]func(root, work string){
		"an empty workshop": func(root, work string) { whole(filepath.Join(root, "out"), "old"); putOwn(t, root, "out") },
		"half a set": func(root, work string) {
			whole(filepath.Join(root, "out"), "old")
			putOwn(t, root, "out")
			put(t, filepath.Join(work, "new", "file0"), "ne")
		},
		"both sets beside": func(root, work string) {
			whole(filepath.Join(work, "old"), "old")
			putOwn(t, work, "old")
			whole(filepath.Join(work, "new"), "new")
		},
		"the new one in its place": func(root, work string) {
			whole(filepath.Join(work, "old"), "old")
			putOwn(t, work, "old")
			whole(filepath.Join(root, "out"), "new")
		},
		"some of the old one brought over": func(root, work string) {
			whole(filepath.Join(work, "old"), "old")
			put(t, filepath.Join(work, "old", "takes", "one"), "one")
			os.Remove(filepath.Join(work, "old", "file0"))
			whole(filepath.Join(root, "out"), "new")
			put(t, filepath.Join(root, "out", "mine.wav"), "mine")
		},
		"an old one that is empty": func(root, work string) {
			os.Mkdir(filepath.Join(work, "old"), 0o755)
			whole(filepath.Join(root, "out"), "new")
			putOwn(t, root, "out")
		},
	} {
		root := t.TempDir()
		work := filepath.Join(root, ".out.writing")
		put(t, filepath.Join(work, "lock"), "")
		leave(root, work)
		put(t, filepath.Join(work, "lock"), "")
		if err := WriteFolder(context.Background(), filepath.Join(root, "out"), set("now")); err != nil {
			t.Errorf("%s: %v", what, err)
		}
		if diff := cmp.Diff(made(t, "now", own...), tree(t, root)); diff != "" {
			t.Errorf("%s: %s", what, diff)
		}
	}
}

var kills = flag.Int("kills", 15, "how often to kill a program that writes")

// TestMain is also the program that the next tests kill: with DISK_TEST_OUT it
// writes one set after another into that folder, and a file beside it.
func TestMain(m *testing.M) {
	out := os.Getenv("DISK_TEST_OUT")
	if out == "" {
		flag.Parse()
		os.Exit(m.Run())
	}
	from, _ := strconv.Atoi(os.Getenv("DISK_TEST_FROM"))
	for n := from; n < from+1000; n++ {
		g := fmt.Sprint("set", n)
		fmt.Println(g)
		err := WriteFolder(context.Background(), out, set(g))
		if err == nil {
			err = WriteFile(out+".txt", []byte(strings.Repeat(g+"\n", 5000)))
		}
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
	}
}

// TestKilledAtAnyMoment kills a program that writes, again and again. Each time
// the folder has one set, whole, or is not there for the time of a renaming;
// the file is whole; nothing that is the player's is lost, and no more than one
// workshop is left of each.
func TestKilledAtAnyMoment(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	putOwn(t, root, "out")
	away := 0
	seen := false // a set, however slow the machine is
	for kill := range *kills {
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), "DISK_TEST_OUT="+out, fmt.Sprint("DISK_TEST_FROM=", 1000*(kill+1)))
		var said strings.Builder
		c.Stdout = &said
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(10*time.Millisecond + rand.N(40*time.Millisecond))
		c.Process.Kill()
		c.Wait()
		if c.ProcessState.Exited() {
			t.Fatalf("it ended by itself: %s", said.String())
		}
		at := out
		if !exists(out) {
			away++
			at = filepath.Join(root, ".out.writing", "old")
		}
		data, err := os.ReadFile(filepath.Join(at, "file7"))
		if err != nil && (seen || !errors.Is(err, fs.ErrNotExist)) {
			t.Fatal(err)
		}
		if err == nil {
			seen = true
			g, _, _ := strings.Cut(string(data), "\n")
			for name, want := range made(t, g) {
				name = strings.TrimPrefix(name, "out")
				if got := tree(t, at)[strings.TrimPrefix(name, string(filepath.Separator))]; name != "" && got != want {
					t.Fatalf("after kill %d %s has %q, want %q", kill, name, got, want)
				}
			}
		}
		if data, err := os.ReadFile(out + ".txt"); err == nil {
			g, _, _ := strings.Cut(string(data), "\n")
			if string(data) != strings.Repeat(g+"\n", 5000) {
				t.Fatalf("half of a file after kill %d", kill)
			}
		}
		mine := 0
		for name := range tree(t, root) {
			if b := filepath.Base(name); b == "mine.wav" || b == "one" {
				mine++
			}
		}
		entries, _ := os.ReadDir(root)
		if mine != 2 || len(entries) > 4 {
			t.Fatalf("after kill %d: %d of the player's files; %v", kill, mine, entries)
		}
	}
	t.Logf("%d kills, the folder was away %d times", *kills, away)
	if err := errors.Join(WriteFolder(context.Background(), out, set("end")), WriteFile(out+".txt", []byte("end"))); err != nil {
		t.Fatal(err)
	}
	check(t, root, made(t, "end", append(own, "out.txt", "end 3")...))
}

// TestTwoWriters: the sets of writers at the same time do not mix.
func TestTwoWriters(t *testing.T) {
	root := t.TempDir()
	out := filepath.Join(root, "out")
	putOwn(t, root, "out")
	var all sync.WaitGroup
	for n := range 6 {
		all.Add(1)
		go func() {
			defer all.Done()
			for range 5 {
				err := WriteFolder(context.Background(), out, set(fmt.Sprint("writer", n)))
				if err != nil && !errors.Is(err, ErrInUse) {
					t.Error(err)
				}
			}
		}()
	}
	all.Wait()
	data, err := os.ReadFile(filepath.Join(out, "file0"))
	if err != nil {
		t.Fatal(err)
	}
	check(t, root, made(t, strings.TrimSpace(string(data)), own...))
	// One that does not end keeps the others out.
	w, err := begin(out)
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteFolder(context.Background(), out, set("a")); !errors.Is(err, ErrInUse) {
		t.Error(err)
	}
	w.end()
}

func TestFile(t *testing.T) {
	root := t.TempDir()
	path := filepath.Join(root, "new", "file")
	for _, text := range []string{"a", "bb", ""} {
		if err := WriteFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		check(t, filepath.Join(root, "new"), map[string]string{"file": fmt.Sprint(text, " ", len(text))})
	}
	os.Remove(path)
	put(t, filepath.Join(path, "inside"), "inside")
	if err := WriteFile(path, []byte("text")); err == nil {
		t.Error("written over a folder")
	}
	check(t, filepath.Join(root, "new"), map[string]string{"file": "", filepath.Join("file", "inside"): "inside 6"})
}

// TestFoldersInside writes into folders of the folder, twice: what only the first
// time made stays, in them too.
func TestFoldersInside(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	for _, generation := range []string{"one", "two"} {
		var files []File
		for _, name := range []string{"a", "inside/b", "inside/deep/c", "inside/" + generation} {
			files = append(files, File{name, func(w io.Writer) error {
				_, err := io.WriteString(w, generation)
				return err
			}})
		}
		if err := WriteFolder(context.Background(), dir, files); err != nil {
			t.Fatal(err)
		}
	}
	want := map[string]string{
		"a": "two 3", "inside": "", "inside/b": "two 3", "inside/deep": "", "inside/deep/c": "two 3", "inside/one": "one 3", "inside/two": "two 3",
	}
	if diff := cmp.Diff(want, tree(t, dir)); diff != "" {
		t.Error(diff)
	}
	if entries, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(entries) != 1 {
		t.Errorf("%v, %v are left beside it", entries, err)
	}
}
