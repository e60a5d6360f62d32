package loading

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// Agent is a chemical that takes chlorine out.
type Agent struct {
	Word           string  // in the plant description: "bisulfite"
	Name           string  // "sodium bisulfite"
	Stoichiometric float64 // mg agent per mg chlorine (as Cl2), from molar masses; NaN where not stated
	Field          float64 // mg agent per mg chlorine in practice, with its margin
	FieldSource    string
	Gas            bool
}

const fieldTable = "AWWA field guide on disinfection of pipelines and storage, Table 7-2 (chlorine as HOCl, pH 7); verified"

// agents: one mole of sulfur(IV) takes one mole of Cl2; thiosulfate, when it
// goes all the way to sulfate, four.
var agents = []Agent{
	{"ascorbic_acid", "ascorbic acid", math.NaN(), 2.5, fieldTable, false},
	{"bisulfite", "sodium bisulfite", molarNaHSO3 / molarChlorine, 1.61, fieldTable, false},
	{"calcium_thiosulfate", "calcium thiosulfate", math.NaN(), 1.22, fieldTable, false},
	{"metabisulfite", "sodium metabisulfite", molarNa2S2O5 / (2 * molarChlorine), 1.47, fieldTable, false},
	{"sodium_ascorbate", "sodium ascorbate", math.NaN(), 2.8, fieldTable, false},
	{"sulfite", "sodium sulfite", molarNa2SO3 / molarChlorine, 1.96, fieldTable, false},
	{"sulfur_dioxide", "sulfur dioxide", molarSO2 / molarChlorine, 1.0, "wastewater text citing Metcalf and Eddy (2003); verified", true},
	{"thiosulfate", "sodium thiosulfate", molarNa2S2O3 / (4 * molarChlorine), 1.9, fieldTable, false},
}

// AgentOf gives the agent by its word or name.
func AgentOf(word string) (Agent, error) {
	w := strings.ToLower(strings.TrimSpace(word))
	var words []string
	for _, a := range agents {
		if w == a.Word || w == a.Name || w == "so2" && a.Word == "sulfur_dioxide" {
			return a, nil
		}
		words = append(words, a.Word)
	}
	sort.Strings(words)
	return Agent{}, fmt.Errorf("%q is no dechlorination chemical; write one of %s", word, strings.Join(words, ", "))
}

// DechlorinationNeeded is the agent in mg/L that takes out a residual, at ratio
// mg agent per mg chlorine.
func DechlorinationNeeded(residual, ratio float64) float64 { return residual * ratio }

// ChlorineRemovable is the residual in mg/L that an applied agent in mg/L can
// take out.
func ChlorineRemovable(applied, agentRatio float64) float64 { return ratio(applied, agentRatio) }

// Excess is how much more agent is applied than needed, percent of the need;
// negative when it falls short, NaN when nothing is needed. Too much sulfite
// uses up dissolved oxygen.
func Excess(applied, needed float64) float64 {
	if !(needed > 0) {
		return math.NaN()
	}
	return 100 * (applied - needed) / needed
}
