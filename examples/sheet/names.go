package main

import (
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/spelling"
)

// keysIn reads the names of keys in the language of the player.
func (s *sheet) keysIn(text string) ([]spelling.Name, error) {
	return s.language.ParseNames(text)
}

// preference reads -names in the language of the player.
func (s *sheet) preference(text string) ([]spelling.Name, error) {
	return flags.Preference(s.language, text)
}
