package job

import (
	"context"
	"fmt"

	"wirewright/prove"
	"wirewright/store"
)

// ProveOptions bound a proof.
type ProveOptions struct {
	States int // most states a question may store; 0 for the usual
}

// Proof is the report of the prove stage.
type Proof struct {
	Rev     store.Rev      `json:"revision"`
	Answers []prove.Answer `json:"answers"`
}

// Good tells whether nothing was refuted.
func (p Proof) Good() bool { return p.Count(prove.Refuted) == 0 }

// Count is the number of questions answered so.
func (p Proof) Count(v prove.Verdict) int {
	n := 0
	for _, a := range p.Answers {
		if a.Verdict == v {
			n++
		}
	}
	return n
}

// Lines implements Report.
func (p Proof) Lines() []string {
	states := 0
	for _, a := range p.Answers {
		states += a.States
	}
	list := []string{fmt.Sprintf("%s: %d proved, %d refuted, %d undecided; %d states", plural(len(p.Answers), "question", "questions"), p.Count(prove.Proved), p.Count(prove.Refuted), p.Count(prove.Undecided), states)}
	for _, a := range p.Answers {
		if a.Verdict == prove.Refuted {
			list = append(list, fmt.Sprintf("  refuted: %s", a.Question))
			for _, l := range a.Story {
				list = append(list, "    "+l)
			}
		}
	}
	return append(list, p.undecided()...)
}

// undecidedMost is how many undecided questions are listed; JSON has all.
const undecidedMost = 12

// undecided lists the questions that stayed open, under the reason that they share.
func (p Proof) undecided() []string {
	var list []string
	reason, told := "", 0
	for _, a := range p.Answers {
		if a.Verdict != prove.Undecided {
			continue
		}
		if told++; told > undecidedMost {
			continue
		}
		if a.Reason != reason {
			reason = a.Reason
			list = append(list, "  undecided: "+reason+":")
		}
		list = append(list, "    "+a.Question)
	}
	if told > undecidedMost {
		list = append(list, fmt.Sprintf("    and %d more (--json lists all)", told-undecidedMost))
	}
	return list
}

// Prove explores the compiled programs of the newest revision.
func (j *Job) Prove(ctx context.Context, o ProveOptions) (Proof, error) {
	c, rev, err := j.Compile(ctx)
	if err != nil {
		return Proof{}, err
	}
	answers, err := prove.House(ctx, c, prove.Options{States: o.States, Progress: func(done, of int, a prove.Answer) {
		j.progress("prove", done, of, "%s: %s", a.Verdict, a.Question)
	}})
	if err != nil {
		return Proof{}, err
	}
	p := Proof{rev, answers}
	return p, j.save(ctx, "prove", rev, p)
}
