package main

import (
	"regexp"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

// keysIn reads the names of keys in the language of the player.
func (s *sheet) keysIn(text string) ([]spelling.Name, error) {
	return s.language.ParseNames(text)
}

// preference reads -names in the language of the player.
func (s *sheet) preference(text string) ([]spelling.Name, error) {
	if s.language == spelling.LanguageEnglish || strings.EqualFold(strings.TrimSpace(text), "flats") {
		return figure.ParsePreference(text)
	}
	names, err := s.keysIn(text)
	if err != nil {
		return nil, err
	}
	var english []string
	for _, n := range names {
		english = append(english, n.Plain())
	}
	return figure.ParsePreference(strings.Join(english, " "))
}

// noteWord is a name without an octave in the text of -notes, or a chord.
var noteWord = regexp.MustCompile(`\{[^}]*\}|[^\s,|+:{}0-9/-][^\s,|+:{}/-]*`)

// englishNotes writes the notes of -notes, as the player names them, in English,
// which the figure is read in. Notes with an octave and chords are English already.
func (s *sheet) englishNotes(text string) (string, error) {
	if s.language == spelling.LanguageEnglish {
		return text, nil
	}
	var failed error
	out := noteWord.ReplaceAllStringFunc(text, func(word string) string {
		if word[0] == '{' || strings.ContainsAny(word[len(word)-1:], "0123456789") {
			return word
		}
		n, err := s.language.ParseName(word)
		if err != nil && failed == nil {
			failed = err
		}
		return n.Plain()
	})
	return out, failed
}
