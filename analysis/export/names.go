package export

import (
	"weirbook/analysis/export/ledger"
	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rule"
)

// What callers of Read meet, under one roof.
type (
	File       = record.File
	TagRule    = rule.TagRule
	SourceRule = rule.SourceRule
	StateWords = rule.StateWords

	Message   = ledger.Message
	Severity  = ledger.Severity
	Reason    = ledger.Reason
	LedgerRow = ledger.LedgerRow
	SetAside  = ledger.SetAside
)

// Severities of a message.
const (
	Note    = ledger.Note
	Warning = ledger.Warning
	Error   = ledger.Error
)

// Reasons that callers ask for by name; package ledger has all.
const (
	BlankValue = ledger.BlankValue
	TextValue  = ledger.TextValue
	CutShort   = ledger.CutShort
)

// SetAsideCap is how many rows are kept with their text per file and reason.
const SetAsideCap = ledger.SetAsideCap

// Reasons lists all reasons in the order of the ledger's columns.
func Reasons() []Reason { return ledger.Reasons() }
