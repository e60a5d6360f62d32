package export

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"unicode"

	"weirbook/analysis/quantity"
	"weirbook/analysis/series"
)

// StateWords says what a plant's own words in state tags mean, beyond those that
// the reader knows; they count above these. Upper and lower case are one.
type StateWords struct {
	On, Off []string
	Bad     []string // the signal was lost
}

// stateMeaning is what a word of a state tag says.
type stateMeaning uint8

const (
	stateUnknown stateMeaning = iota // not known: neither on nor off
	stateOn
	stateOff
	stateLost // the signal was lost
)

// Words of state tags as plainState writes them: usual English, German, French
// and Spanish. Common practice, no source. What is not here is asked for: a word
// that may mean either (Auto, Ready, Hand) is not guessed.
var stateMeanings = meanings(map[stateMeaning]string{
	stateOn: "on, run, running, true, open, opened, yes, start, started, enabled, active, in service, in operation, operating, online, on line, energized, " +
		"ein, an, eingeschaltet, lauft, laeuft, laufend, betrieb, in betrieb, offen, ja, aktiv, " +
		"marche, en marche, en service, ouvert, ouverte, oui, demarre, allume, " +
		"marcha, en marcha, en servicio, encendido, encendida, arrancado, funcionando, en funcionamiento, abierto, abierta, si",
	stateOff: "off, stop, stopped, halt, halted, false, close, closed, no, disabled, inactive, out of service, out of order, out of operation, idle, " +
		"standby, stand by, trip, tripped, fault, faulted, fail, failed, shutdown, shut down, offline, off line, de energized, deenergized, " +
		"emergency stop, e stop, estop, locked out, lockout, " +
		"aus, ausgeschaltet, gestoppt, angehalten, stillstand, steht, ausser betrieb, storung, stoerung, gestort, gestoert, ausgelost, ausgeloest, ausgefallen, bereitschaft, geschlossen, zu, nein, " +
		"arret, arrete, arretee, a l arret, hors service, defaut, en defaut, en panne, eteint, ferme, fermee, non, declenche, " +
		"parado, parada, paro, detenido, detenida, apagado, apagada, fuera de servicio, falla, fallo, en falla, disparado, cerrado, cerrada, en espera",
	stateLost: "bad, bad input, bad quality, no data, nodata, no good data, no value, no signal, i o timeout, timeout, timed out, comm, comms, comm fail, comm failure, comm failed, " +
		"comm loss, comm lost, comm error, comm fault, comms fail, comms loss, comms lost, communication failure, communication fault, communication error, communication lost, communication loss, no comm, no comms, " +
		"not connected, disconnected, unknown, undefined, invalid, error, err, sensor failure, out of range, over range, under range, n a, na, not available, unavailable, missing, " +
		"unbekannt, keine daten, ungultig, ungueltig, fehler, schlecht, nicht verfugbar, nicht verfuegbar, " +
		"inconnu, invalide, pas de donnees, aucune donnee, erreur, indisponible, mauvais, " +
		"desconocido, sin datos, no valido, invalido, sin comunicacion, no disponible, malo",
})

func meanings(lists map[stateMeaning]string) map[string]stateMeaning {
	out := map[string]stateMeaning{}
	for m, list := range lists {
		for _, w := range strings.Split(list, ", ") {
			out[w] = m
		}
	}
	return out
}

// plainState writes a state's words in small letters without accents or
// punctuation.
func plainState(s string) string {
	s = accents.Replace(strings.ToLower(s))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ")
}

// stateReader gives the meaning of states; see StateWords.
type stateReader struct{ own map[string]stateMeaning }

func newStateReader(words StateWords) *stateReader {
	r := &stateReader{own: map[string]stateMeaning{}}
	for m, list := range map[stateMeaning][]string{stateOn: words.On, stateOff: words.Off, stateLost: words.Bad} {
		for _, w := range list {
			r.own[folded(w)] = m // its punctuation tells "Run (hand)" from "Run"
		}
	}
	return r
}

func (r *stateReader) meaning(text string) stateMeaning {
	if m, ok := r.own[folded(text)]; ok {
		return m
	}
	if strings.HasPrefix(text, "#") { // #N/A, #REF!: a spreadsheet's errors
		return stateLost
	}
	bare := text // "Stopped (local)"
	if i := strings.IndexAny(text, "([{"); i > 0 {
		bare = text[:i]
	}
	for _, s := range []string{text, bare, strings.TrimLeft(bare, "0123456789")} { // "0 - Stopped"
		if m, ok := r.own[folded(s)]; ok {
			return m
		}
		s = plainState(s)
		if m, ok := stateMeanings[s]; ok {
			return m
		}
		for _, not := range []string{"not ", "nicht ", "no ", "non ", "pas "} {
			if rest, ok := strings.CutPrefix(s, not); ok && stateMeanings[rest] == stateOn {
				return stateOff
			}
		}
	}
	return stateUnknown
}

// takesWords says that words are what the tag's values may be.
func (r TagRule) takesWords() bool {
	return r.Reading == series.State || r.Kind == quantity.RunStatus
}

// state takes a word of a state tag. One that says neither on nor off is a
// reading without a number: what held before it does not hold on.
func (w *worker) state(s *seg, tag int, spec *tagSpec, ms int64, st timeStatus, text []byte, q series.Flag, off int) {
	text = trim(text)
	m, ok := w.states[string(text)]
	if !ok {
		m = w.stateWords.meaning(shown(text))
		if w.states == nil {
			w.states = map[string]stateMeaning{}
		}
		if len(w.states) < 1000 {
			w.states[string(text)] = m
		}
	}
	w.b.word(tag, shown(text))
	switch m {
	case stateOn:
		w.put(s, spec, ms, st, 1, q, off)
	case stateOff:
		w.put(s, spec, ms, st, 0, q, off)
	case stateLost:
		w.keep(s, spec, ms, st, math.NaN(), q|series.Bad, off)
	default:
		w.keep(s, spec, ms, st, math.NaN(), q|series.Uncertain, off)
	}
}

// isStateWord says whether a cell of a state tag is to be read as a word.
func isStateWord(c cellValue, text []byte) bool {
	switch c.kind {
	case cellBadWord, cellText:
		return true
	case cellBlank:
		return bytes.HasPrefix(trim(text), []byte("#"))
	}
	return c.state
}

// tellStates says how a state tag's words were taken, with their counts.
func (r *reader) tellStates(name string, words map[string]int) {
	byMeaning := map[stateMeaning][]string{}
	list := sortedKeys(words)
	sort.SliceStable(list, func(i, j int) bool { return words[list[i]] > words[list[j]] })
	plain := true
	for _, w := range list {
		m := r.states.meaning(w)
		byMeaning[m] = append(byMeaning[m], fmt.Sprintf("%q (%d)", w, words[w]))
		_, two := stateWords[strings.ToLower(w)]
		plain = plain && two
	}
	join := func(m stateMeaning) string {
		l := byMeaning[m]
		if n := len(l); n > 12 {
			l = append(slices.Clip(l[:12]), fmt.Sprintf("and %d more", n-12))
		}
		return strings.Join(l, ", ")
	}
	if len(byMeaning[stateUnknown]) > 0 {
		r.message(Warning, "", 0, fmt.Sprintf("tag %s: words known neither as on nor as off: %s. The state is taken as unknown there; write what they mean under [state_words] in plant.toml: on = [\"…\"], off = [\"…\"] or bad = [\"…\"]", name, join(stateUnknown)))
	}
	var parts []string
	for _, m := range []stateMeaning{stateOn, stateOff, stateLost} {
		if len(byMeaning[m]) > 0 {
			parts = append(parts, []string{stateOn: "on: ", stateOff: "off: ", stateLost: "bad quality: "}[m]+join(m))
		}
	}
	if !plain && len(parts) > 0 {
		r.message(Note, "", 0, "tag "+name+": its words are taken as "+strings.Join(parts, "; ")+". [state_words] in plant.toml says otherwise where that is wrong")
	}
}
