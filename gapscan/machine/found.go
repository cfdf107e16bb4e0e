package machine

import (
	"fmt"
	"strconv"
)

// Source is where a need was found.
type Source string

// The sources, the first that says something wins.
const (
	SourceHand    Source = "tested by hand" // a limit written under [tested]
	SourceTrials  Source = "trials"
	SourceSpread  Source = "spread" // bottom only: the side need and twice the spread
	SourceBuiltIn Source = "built-in"
)

// Rule is how a need was read off the trials.
type Rule string

// The rules.
const (
	RuleNone Rule = ""
	// RuleLimit: free with the probability LimitProb.
	RuleLimit Rule = "limit"
	// RuleSmallest: the smallest that came out free, since there is too
	// little to say more.
	RuleSmallest Rule = "smallest free"
	// RuleBeyond: wider than anything tried, since the widest trials did not
	// come out free and rule out the need that would hold otherwise; for a bridge,
	// the least there is, since the shortest sagged too.
	RuleBeyond Rule = "beyond"
	// RuleLongest: the longest bridge that sagged by at most one layer.
	RuleLongest Rule = "longest"
)

// Found says where a need was found.
type Found struct {
	Source Source
	// MM is the need as it was found: of a bottom need before the trim and
	// the side need have their say.
	MM float64
	// Rule is how the trials say what they say, RuleNone where they say
	// nothing.
	Rule Rule
	// Trials counts the trials of the family.
	Trials int
	// TrialsMM is what the trials say, also where a limit written by hand
	// wins over them; nil where they say nothing.
	TrialsMM *float64
	// Words say it to a person, without the need itself.
	Words string
}

// found picks the need of a family judged by its gap: what was written by
// hand, what the trials say, or otherwise.
func found(hand *float64, e Evidence, otherwise float64, source Source) (float64, Found) {
	mm, rule := e.need(otherwise)
	f := Found{Rule: rule, Trials: e.Trials()}
	return f.pick(hand, mm, otherwise, source, hundredths(mm), e.words(rule))
}

func foundBridge(hand *float64, e BridgeEvidence) (float64, Found) {
	mm, rule := e.need(CautiousBridgeMM)
	f := Found{Rule: rule, Trials: e.Trials}
	return f.pick(hand, mm, CautiousBridgeMM, SourceBuiltIn, shortNumber(mm), e.words(rule))
}

// pick completes f and gives the need. The words are what the trials say and
// how they say it.
func (f Found) pick(hand *float64, trialsMM, otherwise float64, source Source, say, words string) (float64, Found) {
	if f.Rule != RuleNone {
		f.TrialsMM = new(trialsMM)
	}
	switch {
	case hand != nil:
		f.Source, f.Words = SourceHand, "tested by hand"
		if f.Rule != RuleNone {
			f.Words += fmt.Sprintf(", which wins over the trials: they say %s mm, %s", say, words)
		}
		f.MM = *hand
		return f.MM, f
	case f.Rule != RuleNone:
		f.Source, f.Words, f.MM = SourceTrials, words, trialsMM
		return f.MM, f
	case source == SourceSpread:
		f.Words = "the side need and twice the spread"
	default:
		f.Words = "built-in, not tested"
	}
	f.Source, f.MM = source, otherwise
	if f.Trials > 0 {
		f.Words += "; " + words
	}
	return otherwise, f
}

// need is what the trials say, where otherwise would hold without them.
func (e Evidence) need(otherwise float64) (float64, Rule) {
	switch {
	case e.LimitMM != nil:
		return *e.LimitMM, RuleLimit
	case e.SmallestFreeMM != nil:
		// A wide joint that came out free, and nothing that did not, speaks
		// neither for a narrower one nor against it.
		if e.WidestShutMM == nil && *e.SmallestFreeMM > otherwise {
			return 0, RuleNone
		}
		return *e.SmallestFreeMM, RuleSmallest
	case e.BeyondMM != nil && *e.WidestShutMM >= otherwise:
		return *e.BeyondMM, RuleBeyond
	}
	return 0, RuleNone
}

// words say what the trials say.
func (e Evidence) words(rule Rule) string {
	n := count(e.Trials(), "trial")
	switch rule {
	case RuleLimit:
		return fmt.Sprintf("free with %d %% by %s", int(100*LimitProb), n)
	case RuleSmallest:
		return fmt.Sprintf("the smallest that came out free in %s, too few or too far apart to say more", n)
	case RuleBeyond:
		return fmt.Sprintf("wider than anything tried: in %s a gap of %s mm did not come out free and no wider one did",
			n, hundredths(*e.WidestShutMM))
	}
	switch {
	case e.SmallestFreeMM != nil:
		return fmt.Sprintf("%s, free at %s mm; nothing narrower was tried", n, hundredths(*e.SmallestFreeMM))
	case e.WidestShutMM != nil:
		return fmt.Sprintf("%s, not free at %s mm; nothing wider came out free", n, hundredths(*e.WidestShutMM))
	}
	return n
}

// need is the longest bridge that the trials allow, where otherwise would
// hold without them.
func (e BridgeEvidence) need(otherwise float64) (float64, Rule) {
	switch {
	case e.LongestMM != nil:
		if e.ShortestSaggedMM == nil && *e.LongestMM < otherwise {
			return 0, RuleNone // nothing speaks against the longer one
		}
		return *e.LongestMM, RuleLongest
	case e.ShortestSaggedMM != nil && *e.ShortestSaggedMM <= otherwise:
		return MinBridgeMM, RuleBeyond
	}
	return 0, RuleNone
}

func (e BridgeEvidence) words(rule Rule) string {
	n := count(e.Trials, "bridge")
	switch rule {
	case RuleLongest:
		return "the longest of " + n + " that sagged by at most one layer"
	case RuleBeyond:
		return fmt.Sprintf("of %s the shortest, %s mm, sagged by more than one layer", n, shortNumber(*e.ShortestSaggedMM))
	}
	switch {
	case e.LongestMM != nil:
		return fmt.Sprintf("%s, held at %s mm; nothing longer was tried", n, shortNumber(*e.LongestMM))
	case e.ShortestSaggedMM != nil:
		return fmt.Sprintf("%s, sagged at %s mm; nothing shorter held", n, shortNumber(*e.ShortestSaggedMM))
	}
	return n
}

// hundredths writes a gap in mm as people do.
func hundredths(mm float64) string { return strconv.FormatFloat(mm, 'f', 2, 64) }

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
