package rule

import (
	"strings"

	"weirbook/analysis/export/record"
	"weirbook/analysis/series"
)

// QualityWords is what a source rule says of quality cells, by the whole cell in
// lower case; nil where it says nothing.
func (s *SourceRule) QualityWords() map[string]series.Flag {
	if s == nil || len(s.GoodWords)+len(s.UncertainWords)+len(s.BadWords) == 0 {
		return nil
	}
	m := map[string]series.Flag{}
	for _, list := range []struct {
		words []string
		flag  series.Flag
	}{{s.GoodWords, 0}, {s.UncertainWords, series.Uncertain}, {s.BadWords, series.Bad}} {
		for _, w := range list.words {
			m[strings.ToLower(record.CleanName([]byte(w)))] = list.flag
		}
	}
	return m
}

// UnknownWords asks what words of quality mean.
func UnknownWords(words []string) string {
	list := strings.Join(words, ", ")
	if len(words) == 1 {
		return "a quality word is not known and taken as uncertain: " + list +
			". Say what it means under [[source]] in plant.toml: good_words = [\"" + words[0] + "\"], or uncertain_words, or bad_words"
	}
	return "quality words are not known and taken as uncertain: " + list +
		". Say what they mean under [[source]] in plant.toml: good_words = [\"" + words[0] + "\"], or uncertain_words, or bad_words"
}
