package cell

import (
	"bytes"
	"strings"
	"unicode"

	"weirbook/analysis/export/lex"
	"weirbook/analysis/export/rule"
)

// StateMeaning is what a word of a state tag says.
type StateMeaning uint8

const (
	StateUnknown StateMeaning = iota // not known: neither on nor off
	StateOn
	StateOff
	StateLost // the signal was lost
)

// Words of state tags as plainState writes them: usual English, German, French
// and Spanish. Common practice, no source. What is not here is asked for: a word
// that may mean either (Auto, Ready, Hand) is not guessed.
var stateMeanings = meanings(map[StateMeaning]string{
	StateOn: "on, run, running, true, open, opened, yes, start, started, enabled, active, in service, in operation, operating, online, on line, energized, " +
		"ein, an, eingeschaltet, lauft, laeuft, laufend, betrieb, in betrieb, offen, ja, aktiv, " +
		"marche, en marche, en service, ouvert, ouverte, oui, demarre, allume, " +
		"marcha, en marcha, en servicio, encendido, encendida, arrancado, funcionando, en funcionamiento, abierto, abierta, si",
	StateOff: "off, stop, stopped, halt, halted, false, close, closed, no, disabled, inactive, out of service, out of order, out of operation, idle, " +
		"standby, stand by, trip, tripped, fault, faulted, fail, failed, shutdown, shut down, offline, off line, de energized, deenergized, " +
		"emergency stop, e stop, estop, locked out, lockout, " +
		"aus, ausgeschaltet, gestoppt, angehalten, stillstand, steht, ausser betrieb, storung, stoerung, gestort, gestoert, ausgelost, ausgeloest, ausgefallen, bereitschaft, geschlossen, zu, nein, " +
		"arret, arrete, arretee, a l arret, hors service, defaut, en defaut, en panne, eteint, ferme, fermee, non, declenche, " +
		"parado, parada, paro, detenido, detenida, apagado, apagada, fuera de servicio, falla, fallo, en falla, disparado, cerrado, cerrada, en espera",
	StateLost: "bad, bad input, bad quality, no data, nodata, no good data, no value, no signal, i o timeout, timeout, timed out, comm, comms, comm fail, comm failure, comm failed, " +
		"comm loss, comm lost, comm error, comm fault, comms fail, comms loss, comms lost, communication failure, communication fault, communication error, communication lost, communication loss, no comm, no comms, " +
		"not connected, disconnected, unknown, undefined, invalid, error, err, sensor failure, out of range, over range, under range, n a, na, not available, unavailable, missing, " +
		"unbekannt, keine daten, ungultig, ungueltig, fehler, schlecht, nicht verfugbar, nicht verfuegbar, " +
		"inconnu, invalide, pas de donnees, aucune donnee, erreur, indisponible, mauvais, " +
		"desconocido, sin datos, no valido, invalido, sin comunicacion, no disponible, malo",
})

func meanings(lists map[StateMeaning]string) map[string]StateMeaning {
	out := map[string]StateMeaning{}
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
	s = lex.Accents.Replace(strings.ToLower(s))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ")
}

// StateReader gives the meaning of states; see StateWords.
type StateReader struct{ words map[string]StateMeaning }

func NewStateReader(words rule.StateWords) *StateReader {
	r := &StateReader{words: map[string]StateMeaning{}}
	for m, list := range map[StateMeaning][]string{StateOn: words.On, StateOff: words.Off, StateLost: words.Bad} {
		for _, w := range list {
			r.words[lex.Folded(w)] = m // its punctuation tells "Run (hand)" from "Run"
		}
	}
	return r
}

func (r *StateReader) Meaning(text string) StateMeaning {
	if m, ok := r.words[lex.Folded(text)]; ok {
		return m
	}
	if strings.HasPrefix(text, "#") { // #N/A, #REF!: a spreadsheet's errors
		return StateLost
	}
	bare := text // "Stopped (local)"
	if i := strings.IndexAny(text, "([{"); i > 0 {
		bare = text[:i]
	}
	for _, s := range []string{text, bare, strings.TrimLeft(bare, "0123456789")} { // "0 - Stopped"
		if m, ok := r.words[lex.Folded(s)]; ok {
			return m
		}
		s = plainState(s)
		if m, ok := stateMeanings[s]; ok {
			return m
		}
		for _, not := range []string{"not ", "nicht ", "no ", "non ", "pas "} {
			if rest, ok := strings.CutPrefix(s, not); ok && stateMeanings[rest] == StateOn {
				return StateOff
			}
		}
	}
	return StateUnknown
}

// IsStateWord says whether a cell of a state tag is to be read as a word.
func IsStateWord(c CellValue, text []byte) bool {
	switch c.Kind {
	case CellBadWord, CellText:
		return true
	case CellBlank:
		return bytes.HasPrefix(lex.Trim(text), []byte("#"))
	}
	return c.State
}
