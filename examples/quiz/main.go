// Quiz asks questions of music theory, reads the answers as people write them,
// and marks them.
//
//	go run ./examples/quiz                                  ten questions, easy ones
//	go run ./examples/quiz -topics scales,chords -level 2   of two topics, harder
//	go run ./examples/quiz -pupil Ana -seed 3 -marks marks.csv
//	go run ./examples/quiz -out class -pupils Ana,Bo,Cem    sheets for a class
//	go run ./examples/quiz -out class -pupils Ana,Bo,Cem -answers typed
//
// The same topics, level and seed ask the same questions. In a class each pupil
// has a seed of his own: the first -seed, the next one more. With -out there are
// three files: questions.html, a page for each pupil; answers.html, for the
// teacher; and marks.csv, a row for each pupil, in which typed/Ana.txt is marked
// already, an answer a line, if -answers names the folder typed.
//
// Notes are named in English unless -language says otherwise; in a class of several
// languages a pupil's own stands behind a colon: -pupils Ana,Bo:german,Cem:french.
//
// An answer of the wrong kind is asked for once more. A note that sounds right and
// has the wrong letter is told apart. An empty line skips a question. Questions by ear need
// sound files: with -out they are written, in the terminal -sound says where to.
package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/spelling"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

const (
	maxQuestions = 100
	maxPupils    = 200
)

// options are what the command line asks for.
type options struct {
	topics           []topic
	level, questions int
	seed             uint64
	pupil, marks     string
	sound            string
	out, typed       string
	pupils           []string
	plain            bool
	language         spelling.Language
	languages        []spelling.Language // of the pupils
}

// run is the program. It returns the exit status: 2 for what is not accepted, 1
// where something cannot be read or written.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	out := &output.Writer{To: stdout}
	o, err := parse(args, out)
	if errors.Is(err, flag.ErrHelp) {
		err = nil
	} else if err != nil {
		fmt.Fprintf(stderr, "quiz: %v\n", err)
		return 2
	} else if o.out != "" {
		err = writeClass(out, o)
	} else {
		err = ask(out, stdin, o)
	}
	if err = errors.Join(err, out.Err()); err != nil {
		fmt.Fprintf(stderr, "quiz: %v\n", err)
		return 1
	}
	return 0
}

func parse(args []string, help io.Writer) (o options, err error) {
	f := flag.NewFlagSet("quiz", flag.ContinueOnError)
	var names []string
	for _, t := range topics {
		names = append(names, t.name)
	}
	chosen := f.String("topics", "", "`topics`, separated by commas: "+strings.Join(names, ", ")+"; all if it is left out")
	f.IntVar(&o.level, "level", 1, "1 easy, 2, or 3 hard")
	f.IntVar(&o.questions, "questions", 10, "how many")
	f.Uint64Var(&o.seed, "seed", 1, "another `number` asks other questions")
	f.StringVar(&o.pupil, "pupil", "", "`who` answers, for -marks")
	f.StringVar(&o.marks, "marks", "", "add a row to this CSV `file`")
	f.StringVar(&o.sound, "sound", "", "a `folder` for the sound of questions by ear")
	f.StringVar(&o.out, "out", "", "write sheets for a class into this `folder`")
	pupils := f.String("pupils", "", "with -out: the `names` of the pupils, separated by commas")
	f.StringVar(&o.typed, "answers", "", "with -out: a `folder` with typed answers, NAME.txt, to be marked")
	flags.Language(f, &o.language)
	f.BoolVar(&o.plain, "plain", false, "without the signs ♭ and ♯")
	given, err := flags.Parse(f, args, "Questions of music theory, asked in the terminal or printed for a class.", help)
	if err != nil {
		return o, err
	}
	switch {
	case o.level < 1 || o.level > 3:
		return o, fmt.Errorf("-level %d is none; there are 1, 2 and 3", o.level)
	case o.questions < 1 || o.questions > maxQuestions:
		return o, fmt.Errorf("-questions %d: from 1 to %d can be asked", o.questions, maxQuestions)
	case o.out == "" && (given["pupils"] || given["answers"]):
		return o, errors.New("-pupils and -answers belong to sheets for a class: say with -out where to write them")
	case o.out != "" && (given["pupil"] || given["marks"] || given["sound"]):
		return o, errors.New("with -out the marks stand in marks.csv there; -pupil, -marks and -sound belong to the terminal")
	case (o.pupil == "") != (o.marks == ""):
		return o, errors.New("-pupil and -marks go together: who answered, and the file to say so in")
	}
	for _, n := range split(*chosen) {
		at := slices.Index(names, n)
		if at < 0 {
			return o, fmt.Errorf("-topics: %.40q is none; there are %s", n, strings.Join(names, ", "))
		}
		o.topics = append(o.topics, topics[at])
	}
	hears := func(t topic) bool { return t.name == "listening" }
	if o.topics == nil {
		o.topics = topics[:]
		if o.out == "" && o.sound == "" {
			o.topics = slices.DeleteFunc(slices.Clone(o.topics), hears)
		}
	}
	if o.out == "" && o.sound == "" && slices.ContainsFunc(o.topics, hears) {
		return o, errors.New("-topics: listening needs a place for its sound files; say -sound and a folder")
	}
	for _, p := range split(*pupils) {
		name, own, ok := strings.Cut(p, ":")
		l := o.language
		if ok {
			if err := l.UnmarshalText([]byte(own)); err != nil {
				return o, fmt.Errorf("-pupils: %w", err)
			}
		}
		o.pupils, o.languages = append(o.pupils, name), append(o.languages, l)
	}
	if o.pupils == nil {
		o.pupils, o.languages = []string{"pupil"}, []spelling.Language{o.language}
	}
	seen := map[string]bool{}
	for _, p := range o.pupils {
		if seen[fileName(p)] {
			return o, fmt.Errorf("-pupils: %.40q would have the file of another, %s", p, fileName(p))
		}
		seen[fileName(p)] = true
	}
	if len(o.pupils) > maxPupils {
		return o, fmt.Errorf("-pupils: %d are more than %d", len(o.pupils), maxPupils)
	}
	return o, nil
}

func split(list string) (all []string) {
	for _, s := range strings.Split(list, ",") {
		if s = strings.TrimSpace(s); s != "" {
			all = append(all, s)
		}
	}
	return all
}

// fileName returns a name that any system takes for a file.
func fileName(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(`<>:"/\|?*.`, r) || r <= ' ' {
			return '-'
		}
		return r
	}, s)
}

// A tally is how the answers of somebody were marked.
type tally []mark

func (t tally) of(m mark) (n int) {
	for _, k := range t {
		if k == m {
			n++
		}
	}
	return n
}

// ask asks the questions in the terminal.
func ask(w *output.Writer, stdin io.Reader, o options) error {
	text := func(s string) string {
		if o.plain {
			return flags.Plain(s)
		}
		return s
	}
	all := questions(o.topics, o.level, o.language, o.seed, o.questions)
	if o.sound != "" {
		if err := writeSounds(o.sound, all); err != nil {
			return err
		}
	}
	lines := bufio.NewScanner(stdin)
	var marks tally
	for n, q := range all {
		fmt.Fprintln(w, text(fmt.Sprintf("%d of %d. %s", n+1, len(all), q.ask)))
		if q.heard != nil {
			fmt.Fprintf(w, "Play %s.\n", filepath.Join(o.sound, soundName(n)))
		}
		m, remark := unread, ""
		for try := 0; m == unread && try < 2; try++ {
			fmt.Fprint(w, "> ")
			if w.Err() != nil || !lines.Scan() {
				fmt.Fprintln(w)
				return errors.Join(finish(w, o, marks, len(all)), lines.Err())
			}
			if answer := strings.TrimSpace(lines.Text()); answer == "" {
				m, remark = wrong, "Skipped."
			} else if m, remark = q.grade(answers{q.in}, answer); m == unread && try == 0 {
				fmt.Fprintln(w, text(q.again()))
			}
		}
		marks = append(marks, max(m, wrong))
		switch {
		case m == right:
			remark = "Right. "
		case m == unread:
			remark = "That is no answer to it. "
		case m == wrong && remark == "":
			remark = "No. "
		default:
			remark += " "
		}
		if m != right {
			remark += "The answer is " + q.answer + ". "
		}
		fmt.Fprintf(w, "%s\n\n", text(remark+q.why))
	}
	return finish(w, o, marks, len(all))
}

// finish sums up, and keeps the marks.
func finish(w io.Writer, o options, marks tally, asked int) error {
	fmt.Fprintf(w, "Right: %d, right in sound only: %d, wrong or skipped: %d, not answered: %d.\n",
		marks.of(right), marks.of(slip), marks.of(wrong), asked-len(marks))
	if o.marks == "" {
		return nil
	}
	before, err := os.ReadFile(o.marks)
	if err != nil && !os.IsNotExist(err) {
		return err
	}
	var b strings.Builder
	b.Write(before)
	if len(before) > 0 && before[len(before)-1] != '\n' {
		b.WriteByte('\n')
	}
	c := csv.NewWriter(&b)
	if len(before) == 0 {
		c.Write(header(o.questions)) // a Builder takes everything
	}
	c.Write(row(o.pupil, o.seed, marks, o.questions))
	c.Flush()
	if err := disk.WriteFile(o.marks, []byte(b.String())); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "The marks of %s are kept in %s.\n", o.pupil, o.marks)
	return err
}

// header names the columns of a file of marks.
func header(count int) []string {
	out := []string{"pupil", "seed", "right", "right in sound only", "wrong or skipped", "not answered"}
	for n := range count {
		out = append(out, strconv.Itoa(n+1))
	}
	return out
}

// row is the row of a pupil, empty where there are no marks yet.
func row(pupil string, seed uint64, marks tally, asked int) []string {
	out := []string{pupil, strconv.FormatUint(seed, 10), "", "", "", ""}
	if marks != nil {
		for n, m := range []mark{right, slip, wrong} {
			out[2+n] = strconv.Itoa(marks.of(m))
		}
		out[5] = strconv.Itoa(asked - len(marks))
	}
	words := map[mark]string{right: "right", slip: "sound only", wrong: "wrong"}
	for n := range asked {
		word := ""
		if n < len(marks) {
			word = words[marks[n]]
		}
		out = append(out, word)
	}
	return out
}

const questionsName = "questions.html"

// sameQuestions refuses to mark answers to other questions than those that were
// handed out.
func sameQuestions(path string, class []pupil) error {
	handed, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	var now bytes.Buffer
	if err := questionsPage.Execute(&now, class); err != nil {
		return err
	}
	if !bytes.Equal(now.Bytes(), handed) {
		return fmt.Errorf("-answers: %s has other questions than these flags make; nothing was marked: give -pupils, -topics, -level and whatever else it was made with", path)
	}
	return nil
}

// writeClass writes the sheets of a class.
func writeClass(w io.Writer, o options) error {
	var files []disk.File
	var class []pupil
	var table strings.Builder
	if o.typed != "" {
		if _, err := os.ReadDir(o.typed); err != nil {
			return fmt.Errorf("-answers: %w", err)
		}
	}
	var silent []string // those without a file
	c := csv.NewWriter(&table)
	c.Write(header(o.questions))
	for n, name := range o.pupils {
		p := pupil{Name: name, Seed: o.seed + uint64(n)}
		all := questions(o.topics, o.level, o.languages[n], p.Seed, o.questions)
		var marks tally
		if o.typed != "" {
			text, err := os.ReadFile(filepath.Join(o.typed, fileName(name)+".txt"))
			if err != nil && !os.IsNotExist(err) {
				return err
			}
			if err == nil {
				marks = markAll(all, string(text))
			} else {
				silent = append(silent, fileName(name)+".txt")
			}
		}
		c.Write(row(name, p.Seed, marks, len(all)))
		for k, q := range all {
			i, err := newItem(k+1, q)
			if err != nil {
				return err
			}
			if q.heard != nil {
				i.Sound = fileName(name) + "-" + soundName(k)
				files = append(files, disk.File{Name: i.Sound, Write: q.heard.write})
			}
			p.Items = append(p.Items, i)
		}
		class = append(class, p)
	}
	c.Flush()
	files = append(files,
		disk.File{Name: questionsName, Write: func(w io.Writer) error { return questionsPage.Execute(w, class) }},
		disk.File{Name: "answers.html", Write: func(w io.Writer) error { return answersPage.Execute(w, class) }},
		disk.File{Name: "marks.csv", Write: func(w io.Writer) error { _, err := io.WriteString(w, table.String()); return err }})
	if o.typed != "" {
		if err := sameQuestions(filepath.Join(o.out, questionsName), class); err != nil {
			return err
		}
	}
	if err := disk.WriteFolder(context.Background(), o.out, files); err != nil {
		return err
	}
	fmt.Fprintf(w, "%s has questions.html, a page for each of %d, answers.html for the teacher, and marks.csv.\n", o.out, len(class))
	if o.typed != "" {
		fmt.Fprintf(w, "Marked are %d of %d.", len(class)-len(silent), len(class))
		if len(silent) > 0 {
			fmt.Fprintf(w, " %s has no %s.", o.typed, strings.Join(silent, ", "))
		}
		fmt.Fprintln(w)
	}
	return nil
}

// markAll marks typed answers, one a line. What is no answer is wrong.
func markAll(all []question, text string) tally {
	lines := strings.Split(strings.TrimRight(strings.ReplaceAll(text, "\r", ""), "\n"), "\n")
	marks := tally{}
	for n, q := range all {
		if n < len(lines) {
			m, _ := q.grade(answers{q.in}, lines[n])
			marks = append(marks, max(m, wrong))
		}
	}
	return marks
}
