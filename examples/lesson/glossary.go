package main

import "slices"

// A term is a word of the lesson and what it means.
type term struct{ Word, Means string }

// terms are in plain words, each in those that stand before it in a lesson.
var terms = []term{
	{"chord", "notes that sound together; its quality is what is left when its root is forgotten"},
	{"chromatic", "with all twelve pitch classes"},
	{"cycle", "the keys that come by the same step again and again until the first one comes back"},
	{"degree", "a note of a scale, named by its number: 1 is home"},
	{"drill", "an idea taken through keys in an order, at a tempo"},
	{"enharmonic", "called by two names and sounding the same, as F♯ and G♭ do on a piano"},
	{"figure", "a short idea: a few degrees and their lengths"},
	{"flat", "♭: the letter a half step lower"},
	{"greatest common divisor", "the largest number that goes into both of two numbers"},
	{"half step", "from one key of the piano to the very next"},
	{"interval", "the way from one note to another, counted in letters and in half steps"},
	{"interval class", "an interval and its inversion taken as one: the smaller number of half steps, 0 to 6"},
	{"inversion", "of an interval: what is left of an octave"},
	{"key", "the note that is home, and the scale on it; a key of the piano is meant where that is said"},
	{"key number", "the keys of a piano counted in half steps, C4, middle C, being 60"},
	{"key signature", "the sharps or flats at the beginning of a staff, which hold for the whole line"},
	{"letter", "one of C D E F G A B"},
	{"line of fifths", "all names of notes in a row, each a fifth above the one before"},
	{"mode of limited transposition", "a set that is the same set again when it is moved by fewer than twelve half steps"},
	{"move", "from one key to another"},
	{"note", "a sound of a certain height, or the sign for it"},
	{"octatonic", "eight pitch classes, whole and half steps in turn"},
	{"order", "a way through all twelve keys, each once"},
	{"pitch class", "a note without its letter and its octave: one of twelve, C being 0"},
	{"scale", "the notes of a key in a row, each letter once"},
	{"set", "some things without an order, each once"},
	{"sharp", "♯: the letter a half step higher"},
	{"sounding", "what is heard, whatever is written"},
	{"statement", "a figure played in one key"},
	{"transposing instrument", "one that sounds another note than the written one"},
	{"whole step", "two half steps"},
	{"whole-tone", "six pitch classes, a whole step from each to the next"},
	{"written", "what is on the page, whatever sounds"},
}

// glossary returns the terms that some units explain.
func glossary(units []unit) (all []term) {
	for _, t := range terms {
		if slices.ContainsFunc(units, func(u unit) bool { return slices.Contains(u.Words, t.Word) }) {
			all = append(all, t)
		}
	}
	return all
}
