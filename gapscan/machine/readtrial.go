package machine

import (
	"slices"
	"strings"
)

// takeTrial takes a heading [[trial]] or a key below it.
func (r *reader) takeTrial(e entry) *FileError {
	if len(e.path) == 1 && e.form == tableArray {
		fe := r.endTrial()
		r.open, r.trial = []entry{e}, Trial{}
		return fe
	}
	if r.open == nil {
		return e.fault("must be tables, each headed [[" + trialTable + "]]")
	}
	spec := trialSpecOf(e.path[1])
	if spec == nil || len(e.path) > 2 {
		if specOf(strings.Join(e.path[1:], ".")) != nil {
			return e.fault("belongs above the first [[" + trialTable + "]]")
		}
		fe := e.fault("is not a key of a trial")
		fe.Known = trialKeyNames()
		return fe
	}
	all, _ := r.doc[trialTable].([]any)
	value := valueAt(all[len(r.m.Trials)].(map[string]any), e.path[1:])
	if allowed := spec.set(&r.trial, value); allowed != "" {
		return e.fault(allowed)
	}
	r.open = append(r.open, e)
	return nil
}

// endTrial adds the trial that is being read to the machine's.
func (r *reader) endTrial() *FileError {
	if r.open == nil {
		return nil
	}
	at := func(key string) int {
		return slices.IndexFunc(r.open, func(e entry) bool { return len(e.path) == 2 && e.path[1] == key })
	}
	key, problem := r.trial.fault(func(key string) bool { return at(key) >= 0 })
	if key != "" {
		return r.open[max(at(key), 0)].fault(problem) // the heading of what is missing
	}
	r.m.Trials = append(r.m.Trials, r.trial)
	r.open = nil
	return nil
}
