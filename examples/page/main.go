// Page serves a practice page on this machine: a figure through the keys, with
// a click, the keys in large, the circle, the answers, and a table of the moves
// that were made. All its music comes from the library, which runs in the
// browser.
//
//	go run ./examples/page
//	go run ./examples/page -port 8080
//	go run ./examples/page -out practice-page
//	go run ./examples/page -web keyorder
//
// The library is built for the browser by the Go toolchain that is there. With
// -out the page is written as a folder of files that any web server can serve;
// nothing in it needs a network of its own. With -web only the library is, for
// pages of your own: see examples/web.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"time"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/examples/web"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	status := run(ctx, web.Files, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

// errInput marks what the flags are to blame for.
var errInput = errors.New("bad input")

// run is the program: it returns the exit status, 2 for bad input.
func run(ctx context.Context, library builder, args []string, stdout, stderr io.Writer) int {
	o, err := parseFlags(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	out := &output.Writer{To: stdout}
	if err == nil {
		err = o.do(ctx, library, out, stderr)
	}
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errInput):
		fmt.Fprintf(stderr, "page: %s\n", strings.TrimSuffix(err.Error(), "\n"+errInput.Error()))
		return 2
	case ctx.Err() != nil && o.out+o.web != "":
		fmt.Fprintln(stderr, "page: interrupted; no file was written")
		return 1
	case ctx.Err() != nil: // stopped while building
		return 0
	}
	fmt.Fprintf(stderr, "page: %v\n", err)
	return 1
}

type options struct {
	port int
	out  string
	web  string
}

func parseFlags(args []string, stderr io.Writer) (options, error) {
	var o options
	f := flag.NewFlagSet("page", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.IntVar(&o.port, "port", 8312, "the `port` to serve on; if it is taken, or 0, a free one")
	f.StringVar(&o.out, "out", "", "write the page into this `folder` instead of serving it")
	f.StringVar(&o.web, "web", "", "write the library for pages of your own into this `folder`; examples/web/README.md says how to use it")
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(stderr, "page serves a practice page on this machine, or writes it into a folder.\n\n")
			f.SetOutput(stderr)
			f.PrintDefaults()
			return o, err
		}
		return o, errors.Join(err, errInput)
	}
	if f.NArg() > 0 {
		return o, errors.Join(fmt.Errorf("%.60q is no flag; page takes -port, -out and -web", f.Arg(0)), errInput)
	}
	if o.out != "" && o.web != "" {
		return o, errors.Join(errors.New("-out writes the page, -web the library without it; write one of them"), errInput)
	}
	if o.port < 0 || o.port > 65535 {
		return o, errors.Join(fmt.Errorf("-port %d: a port is a number from 0 to 65535", o.port), errInput)
	}
	return o, nil
}

func (o options) do(ctx context.Context, library builder, stdout, stderr io.Writer) error {
	folder, given := o.out, "-out"
	if o.web != "" {
		folder, given = o.web, "-web"
	}
	if folder != "" {
		if err := disk.Check(folder); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", given, err), errInput)
		}
	}
	fmt.Fprintln(stderr, "Building the library for the browser …")
	files, err := library(ctx)
	if err == nil && o.web == "" {
		files, err = page(files)
	}
	if err != nil {
		return err
	}
	if folder != "" {
		if err := write(ctx, folder, files, stdout); err != nil {
			return fmt.Errorf("%s: %w", given, err)
		}
		return nil
	}
	l, err := listen(o.port)
	if err != nil {
		return err
	}
	said := fmt.Sprintf("The practice page is at http://%s/ (stop with Ctrl-C).\n", l.Addr())
	if port := l.Addr().(*net.TCPAddr).Port; o.port != 0 && port != o.port {
		said += fmt.Sprintf("Port %d is taken by another program. What the browser has saved for the page at that port is not seen at this one.\n", o.port)
	}
	if _, err := io.WriteString(stdout, said); err != nil {
		return errors.Join(err, l.Close())
	}
	return serve(ctx, l, files)
}

// listen opens the port on the loopback interface, or a free one where that is
// taken.
func listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil && port != 0 {
		return net.Listen("tcp", "127.0.0.1:0")
	}
	return l, err
}

// serve serves the files until the context ends.
func serve(ctx context.Context, l net.Listener, files []web.File) error {
	s := &http.Server{Handler: handler(files), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: time.Minute}
	served := make(chan error, 1)
	go func() { served <- s.Serve(l) }()
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := s.Shutdown(end); err != nil {
		return s.Close()
	}
	return nil
}

// handler answers with the files, compressed where the browser takes that.
func handler(files []web.File) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "the page is only read", http.StatusMethodNotAllowed)
			return
		}
		if host, _, err := net.SplitHostPort(r.Host); err != nil || host != "localhost" && net.ParseIP(host) == nil {
			// A name from elsewhere that leads to this machine.
			http.Error(w, "the page is served for this machine only", http.StatusMisdirectedRequest)
			return
		}
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			name = index
		}
		for _, f := range files {
			if f.Name != name {
				continue
			}
			h, body := w.Header(), f.Body
			h.Set("Content-Type", f.Kind)
			h.Set("Cache-Control", "no-cache")
			h.Set("X-Content-Type-Options", "nosniff")
			h.Set("Content-Security-Policy", "frame-ancestors 'none'")
			h.Set("Vary", "Accept-Encoding")
			if f.Packed != nil && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
				h.Set("Content-Encoding", "gzip")
				body = f.Packed
			}
			h.Set("Content-Length", strconv.Itoa(len(body)))
			w.Write(body)
			return
		}
		http.NotFound(w, r)
	})
}

// write writes the files into a folder, all of them or none, and lists them.
func write(ctx context.Context, folder string, files []web.File, stdout io.Writer) error {
	var all []disk.File
	add := func(name string, body []byte) {
		all = append(all, disk.File{Name: name, Write: func(w io.Writer) error { _, err := w.Write(body); return err }})
	}
	list := fmt.Sprintf("Written into %s, for any web server:\n", folder)
	for _, f := range files {
		add(f.Name, f.Body)
		list += fmt.Sprintf("  %-18s %8d bytes\n", f.Name, len(f.Body))
	}
	for _, f := range files {
		if f.Packed != nil {
			add(f.Name+".gz", f.Packed)
			list += fmt.Sprintf("  %-18s %8d bytes\n", f.Name+".gz", len(f.Packed))
		}
	}
	if err := disk.WriteFolder(ctx, folder, all); err != nil {
		return err
	}
	_, err := io.WriteString(stdout, list)
	return err
}
