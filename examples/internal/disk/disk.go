// Package disk writes files and folders whole or not at all, for the example
// programs, and opens files for one program alone.
//
// What is to stand at a path is made beside it, in a folder named .NAME.writing,
// brought to the disk and then moved to its place by renaming. Whoever writes
// holds a lock in that folder, so that a second one waits a little and is then
// refused, and so that what an earlier program left there when it was killed is
// known to be left: it is cleaned up, or brought to its end.
package disk

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// ErrInUse says that another program holds the lock.
var ErrInUse = errors.New("another program is writing there; let that end first")

// A File is one of the files of a folder.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// WriteFile writes a file, and the folders above it where they are missing.
func WriteFile(path string, data []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	w, err := begin(path)
	if err != nil {
		return err
	}
	defer w.end()
	err = writeNew(w.new, func(to io.Writer) error { _, err := to.Write(data); return err })
	if err == nil {
		err = os.Rename(w.new, path)
	}
	if err == nil {
		err = syncFolder(filepath.Dir(path))
	}
	return err
}

// WriteFolder writes files into a folder, all of them or none; a name may have
// folders of its own, as "answers/sheet.txt". What else is in the folder stays there. If the context ends before all are written, none is.
//
// A folder that is there is set aside while the new one takes its place, for the
// time of a renaming. The folder that the program stands in cannot be.
func WriteFolder(ctx context.Context, path string, files []File) error {
	path, err := place(path)
	if err != nil {
		return err
	}
	w, err := begin(path)
	if err != nil {
		return err
	}
	defer w.end()
	if err := free(path, files); err != nil {
		return err
	}
	mode := fs.FileMode(0o755)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	if err := os.Mkdir(w.new, 0o755); err != nil {
		return err
	}
	folders := map[string]bool{w.new: true}
	for _, f := range files {
		if dir := filepath.Join(w.new, filepath.Dir(f.Name)); !folders[dir] {
			folders[dir] = true
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return err
			}
		}
		err := writeNew(filepath.Join(w.new, f.Name), func(to io.Writer) error { return f.Write(untilDone{ctx, to}) })
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return fmt.Errorf("%s could not be written, and nothing was: %w", f.Name, err)
		}
	}
	for dir := range folders {
		if err := syncFolder(dir); err != nil {
			return err
		}
	}
	if err := os.Chmod(w.new, mode); err != nil {
		return err
	}
	return w.swap(path, files)
}

// Check refuses a path that WriteFolder would refuse, before there is anything
// to write. The folders above it are made.
func Check(path string) error {
	_, err := place(path)
	return err
}

// place returns the path with its links followed, and makes the folders above
// it. It refuses what no folder can take the place of.
func place(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	} else if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return "", err
	}
	switch info, err := os.Lstat(path); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return "", err
	case !info.IsDir():
		return "", fmt.Errorf("%s is no folder", path)
	}
	here, err := os.Getwd()
	if err == nil {
		here, err = filepath.EvalSymlinks(here)
	}
	if err != nil {
		return "", err
	}
	if below, err := filepath.Rel(path, here); err == nil && below != ".." && !strings.HasPrefix(below, ".."+string(filepath.Separator)) {
		return "", fmt.Errorf("%s is the folder that you stand in, or above it, and would be replaced under you; name one below it", path)
	}
	return path, nil
}

// free refuses files in whose place something else stands.
func free(path string, files []File) error {
	for _, f := range files {
		info, err := os.Lstat(filepath.Join(path, f.Name))
		if err == nil && !info.Mode().IsRegular() {
			return fmt.Errorf("%s is in the way, as it is no file; nothing was written", filepath.Join(path, f.Name))
		} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// writeNew writes a file that is not there and brings it to the disk.
func writeNew(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(f, 1<<16)
	if err = write(b); err == nil {
		err = b.Flush()
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// untilDone is a writer that fails when its context ends.
type untilDone struct {
	ctx context.Context
	to  io.Writer
}

func (u untilDone) Write(p []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.to.Write(p)
}

// A workshop is the folder beside a path where what is to stand there is made.
type workshop struct {
	dir, new, old string
	lock          *os.File
}

// begin opens the workshop of a path, and cleans up what was left in it.
func begin(path string) (*workshop, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	dir := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".writing")
	w := &workshop{dir: dir, new: filepath.Join(dir, "new"), old: filepath.Join(dir, "old")}
	const tries, pause = 100, 20 * time.Millisecond
	for n := 0; ; n++ {
		ok, err := w.enter()
		if err != nil && !errors.Is(err, ErrInUse) {
			return nil, err
		} else if ok {
			break
		} else if n == tries {
			return nil, fmt.Errorf("%s: %w", path, ErrInUse)
		}
		time.Sleep(pause)
	}
	if err := w.recover(path); err != nil {
		w.lock.Close()
		return nil, err
	}
	return w, nil
}

// enter makes the folder and takes the lock. It reports whether it has it:
// whoever had it before may have taken the folder away meanwhile.
func (w *workshop) enter() (bool, error) {
	if err := os.Mkdir(w.dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return false, err
	}
	if info, err := os.Lstat(w.dir); err == nil && !info.IsDir() {
		return false, fmt.Errorf("%s is in the way", w.dir)
	}
	name := filepath.Join(w.dir, "lock")
	f, _, err := OpenLocked(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	} else if err != nil {
		return false, err
	}
	mine, err1 := f.Stat()
	there, err2 := os.Stat(name)
	if err1 != nil || err2 != nil || !os.SameFile(mine, there) {
		f.Close()
		return false, nil
	}
	w.lock = f
	return true, nil
}

// recover brings to its end, or takes back, what was begun and not ended.
func (w *workshop) recover(path string) error {
	if err := os.RemoveAll(w.new); err != nil {
		return err
	}
	if !exists(w.old) {
		return nil
	}
	if !exists(path) {
		return os.Rename(w.old, path)
	}
	return w.bring(path)
}

// swap puts the new folder in the place of the old one.
func (w *workshop) swap(path string, files []File) error {
	if err := free(path, files); err != nil {
		return err
	}
	if exists(path) {
		if err := os.Rename(path, w.old); err != nil {
			return err
		}
	}
	if err := os.Rename(w.new, path); err != nil {
		if exists(w.old) {
			err = errors.Join(err, os.Rename(w.old, path))
		}
		return err
	}
	if exists(w.old) {
		if err := w.bring(path); err != nil {
			return err
		}
	}
	return syncFolder(filepath.Dir(path))
}

// bring moves what only the old folder has into the new one, and removes the
// rest, which the new one has too.
func (w *workshop) bring(path string) error {
	if err := merge(w.old, path); err != nil {
		return err
	}
	return syncFolder(path)
}

// merge moves what only one folder has into another, folders in it likewise, and
// removes it.
func merge(old, into string) error {
	entries, err := os.ReadDir(old)
	if err != nil {
		return err
	}
	for _, e := range entries {
		from, to := filepath.Join(old, e.Name()), filepath.Join(into, e.Name())
		info, err := os.Lstat(to)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			err = os.Rename(from, to)
		case err == nil && e.IsDir() && info.IsDir():
			err = merge(from, to)
		case err == nil:
			err = os.RemoveAll(from)
		}
		if err != nil {
			return err
		}
	}
	return errors.Join(syncFolder(into), os.Remove(old))
}

// end takes the workshop away. Where an open file cannot be removed, the lock is
// closed first.
func (w *workshop) end() {
	os.RemoveAll(w.new)
	name := w.lock.Name()
	open := os.Remove(name) != nil
	w.lock.Close()
	if open {
		os.Remove(name)
	}
	os.Remove(w.dir) // unless something is left in it, or another came
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// syncFolder brings the names in a folder to the disk, where the system can.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}
