package main

import "io"

func (s *sheet) writeFiles(stdout, stderr io.Writer) error { return nil }
