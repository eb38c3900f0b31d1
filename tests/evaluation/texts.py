"""What each part of the page means and what it does not."""

from __future__ import annotations

INTRODUCTION = """\
# How far the diagnosis can be trusted, as far as we can measure it

*Written by `{command}` (hours of one core for twenty seeds; runs
that are done are kept, so a measurement that was stopped goes on where it was); do not edit here.*

Service {service}. Simulated machines, next checks and their gates (runs of different seeds: {seeds}): knowledge
`{knowledge}`; without words of notes and what is sent, digest of the data that decide a diagnosis: `{decides}`.
"""
REST = """\
Everything else: knowledge `{knowledge}`; digest of the data that decide a diagnosis: `{decides}`.
"""
KINDS = """\
**No number on this page is accuracy in the field.** There are four kinds:

* *Simulated*: machines drawn from the knowledge itself, or from a deliberately different model. They measure whether
  the reasoning keeps its promises (what it calls 80 % likely comes true in 80 %), what biased and wrong reports do to
  it, and whether it holds back where it knows too little. They cannot show that the knowledge is right about real
  machines.
* *Simulated readings*: instruments on an air conditioner whose readings move as printed for each fault.
* *Textbook agreement*: described cases, published or constructed, and labelled notes. They show that the knowledge says
  what the trade writes. They are cleaner than real jobs, and the notes have the same author as the wording.
* *Laboratory*: readings of one real rooftop unit with its condenser blocked on purpose. One fault, one
  machine, four days.

"""
OLDER = """\
**{what} on this page was measured on earlier knowledge than that of this version (digest `{present}`): the figures
may have changed since.** `make evaluation` measures anew.
"""
GATES = """\
Figures of simulated machines carry their 95 % interval (bootstrap over whole cases, Wilson's for shares) and the size
of the sample; the unfavourable end must lie within the bound. **Seeds**: for how many runs of another seed the gate
holds on its own, at the size of one run; *together*: too small an effect for one run, so that all runs are one
sample. **Who knows nothing**: the same judged on the priors alone (their skill is 0), on random checks against other
random checks, on checks without regard to the rules, on alarms that ring as often where nothing is wrong, on always
being sure of the leading mode, on an answer that is always the same. It must fail, or the gate measures nothing.
Gates are meant for the usual twenty seeds. With fewer, one that is judged *together* has a wider interval and may
read "not held" for want of cases, and one for each seed has been tried on fewer seeds than it must hold for.
"""
TIMES = """
Times are those of the machine that wrote this page, one core, the least of five runs of sixty cases;
`python -m tests.evaluation --times` measures them alone and anew. tests/bench/README.md has the others."""
SCENARIOS = """\
**ECE**: expected calibration error, the mean distance between what was claimed and what came true, over ten bins (0
is perfect; it says nothing of how often the answer is right, and the priors alone have little too; the luck of a
resample adds to it, so its interval lies high). **P ≥ 0.9 right**: modes claimed with at least 0.9, and the share of
them that were there. **Top 1, top 3**: cases with a mode in which a true one is ranked so; low by nature here, since
the findings are drawn at random and most say little. Who always names the commonest mode is right as often as the
priors are. **Called unfit**: cases answered with "does not fit"; a false alarm where nothing is unmodelled. **Wrong
at ≥ 0.95**: cases with a mode at 0.95 or more that was not there.
"""
SKILLS = """\
**Skill** is the share of somebody else's squared error that the answer avoids: 0 is no better than they, 1 is
perfect, below 0 is worse. *Priors*: the machine and nothing else. *Naive Bayes*: the same figures, priors and
likelihoods, but every finding, and every silence, weighed as if none hung on another. *Commonest*: always sure of the
commonest mode and cause. Where few findings are drawn at random, most of them speak of one mode at most, and naive
Bayes loses little; what the network is for shows where findings hang together and silence counts (notes, forms,
sheets). Where findings are turned by something unmodelled the answer is worse than the priors: only the verdict holds
it back.
"""
RATES = """\
The five rates of the trade's own method (Yuill & Braun 2013, HVAC&R Research 19(7); the names seen, the assignment
from memory), here of the verdict: a mode is **named** where the verdict is settled or gives candidates; **correct**:
the first of them is there; **missed**: the compressor is called sound; **no response**: the verdict leaves it open.
Shares with a fault are of machines with a mode, the others of machines without one, which somebody called for all the
same.
"""
RELIABILITY = """\
Every log-odds of the knowledge shifted by a standard deviation of 1.0 (odds wrong by a factor of 2.7 as a rule), anew
for each machine, and findings of one disturbance alike beyond what the modes explain. Of the machines for which a
mode (cause) was called so likely, so many had it; bins of fewer than {enough} claims are left out of the gate.
"""
TRIALS = """\
A technician starts from what the owner tells and does one check after the other; the best proposed one, or any that
is allowed. The gain is over chance, on simulated machines, not over a good technician. **Right**: the leading mode is
there. **Claimed**: how probable it is called; that varies less, so that one run shows it. The last row counts
proposed checks that a fired safety rule forbids, whose needs cannot be met together, or that lack their caution.
"""
CASES = """\
Published cases retell tables, manuals and stories of the trade (sources beside each in KNOWLEDGE-CASES.md);
constructed ones follow trade reasoning. Both are a development set: figures, rows and cases were changed after they
were first run, so the shares flatter. Shares are of the cases that expect something of the kind, with Wilson's
interval.
"""
WHO = """\
**The machine alone**: the answer without a finding. **Commonest of the set**: the one named most often in these very
cases, which nobody could know beforehand. **Abstained**: cases with an expected mode that did not end in the verdict
"diagnosed". **Right when diagnosed**: of the others, those whose leading mode was expected. **Brier**: mean squared
error of the leading mode's probability; the interval is a bootstrap over cases.
"""
FAILURES = "What did not come out as expected in the development set, every case:"
WORDED = """\
### Published cases in their sources' words alone

The published cases above were encoded with the knowledge at hand. Here {cases} descriptions of {sources} sources
stand as the stored text of the source words them (tests/evaluation/described/worded.toml): nothing added, nothing
left out that a finding can tell, no finding that is itself the answer. Whoever encoded them knew the ids and had seen
the former encoding, so they are not blind. Nothing was changed on their account.
"""
SEALED = """\
### Sealed published descriptions

56 descriptions found later, encoded blind and sealed (tests/evaluation/described/SOURCES.md); only totals are read,
once a release. *Unseen* leaves out five whose pages were behind cases of the development set, as was noticed later;
*real* leaves out teaching cases with made-up facts. Intervals: Clopper and Pearson.
"""
BLIND = """\
147 cases by a writer who had the public wording of findings, modes and causes and nothing of the knowledge, sealed
before any answer was seen (tests/evaluation/described/blind.py): 110 constructed, 37 encoded from the words of
published descriptions that had not been used (SOURCES.md there; forty were wanted).
**Constructed cases are not collected in the field, and no practitioner labelled any of these.** A release is scored
once, and only the counts are kept (totals.json): version {version} on {day}, knowledge `{knowledge}`, decided by data
`{decides}`.

**These figures flatter.** Who labels a case and picks its findings from the same lists picks findings that all but say
the answer. Rows with *no finding is the answer* leave out the cases in which a finding that was reported is by
definition what the label names in that layer (a weighed short charge is an undercharge): they are the ones to look at.
In the sealed descriptions of the section before hardly any is given away.

Shares are of the cases whose label names a mode (cause), with Clopper and Pearson's interval. *A real event*: without
teaching cases and described conditions. *Label sure*: the labeller was. **The machine alone**: the answer without
findings and readings. **Always the commonest of the group**: the ones that the labels of this very group name most
often. **Naive Bayes**: the same figures and evidence, as if no finding hung on another.
"""
BLIND_UNSCORED = "Not scored yet: `python -m tests.evaluation.described score`."
LATER = """\
{cases} further cases from published descriptions (SOURCES.md beside the cases), encoded from the words of the source
alone by a writer who had the public wording and nothing of the knowledge, sealed before any answer was seen: {real}
tell of a real event, the others are teaching cases, described conditions and experiments; {sure} labels stand as the
source concludes, in the others the writer had to choose. Many tellers are householders who name one symptom. Scored
once a release: version {version} on {day}, knowledge `{knowledge}`, decided by data `{decides}`.
Columns as above; *two findings or more* leaves out the single symptoms. One of them comes from an article that the
knowledge cites, as was noticed later.
"""
LATER_UNSCORED = "Not scored yet: `python -m tests.evaluation.described score-published`."
FURTHER = """\
{cases} more from a third search (SOURCES.md), encoded by a third writer in the same way and sealed before any answer
was seen: {real} tell of a real event or machine, the others are teaching cases and described conditions; {sure} labels
stand as the source concludes. No second reader; most tell one or two findings. Scored once a release: version {version}
on {day}, knowledge `{knowledge}`, decided by data `{decides}`. So few cases say little by themselves.
"""
FURTHER_UNSCORED = "Not scored yet: `python -m tests.evaluation.described score-further`."
NEWLY = """\
**Newly published ones together**: {cases} descriptions of {events} and {others}
(forty were wanted): the 37 among the cases written blind and both later sets, each as it was last scored, whatever the
knowledge then. The commonest is each set's own, which flatters it.
"""
BLIND_AIMS = """\
What is aimed at, what was measured, and whether the lower end of its interval lies above the others' shares. Where
naive Bayes does as well, the network adds nothing to the order of the names on such cases:
"""
BLIND_RATES = """\
The five rates of the verdict on the compressor, as above: a mode is **named** where the verdict is settled or gives
candidates. *Sound* are cases whose label names no mode, whatever is wrong elsewhere; *cleared* is the verdict that no
compressor fault is likely.
"""
BLIND_TOLD = """\
Compressors without a fault. A stop may be right where the fault elsewhere would damage a compressor that runs on;
where nothing is wrong none is.
"""
LATER_SECOND = """\
A second reader, who had seen neither the first one's labels nor the knowledge, encoded {cases} of 24 of them, drawn at
random (one could not be found again), from the source named. Both report {both} findings; the first reader reports
{one} in these, the second {two}. Whose first choice the other accepts (naming nothing agrees with naming nothing):
"""
BLIND_SECOND = """\
A second labeller, of the same making as the first, labelled every fifth case (in the order of a hash of its id) and
saw the story and the request. The answer is often given away, so that two agree easily, and practitioners may see it
otherwise. Whoever names nothing agrees with whoever names nothing.
"""
UNITS = """\
An R-410A air conditioner with a fixed orifice and one fault (tests/evaluation/units.py). Which way each fault moves
the readings is printed (Rossi & Braun 1997, HVAC&R Research 3(1)); how far, how sound units differ and how
instruments err is ours. **Correct**: the first mode or cause with a chance of 0.4 or more is the fault. By the usual
ranges alone the honest answer is mostly none; a baseline of the same machine is what finds faults.
"""
ROOFTOP = """\
Quarter hours of one R-410A unit with 0, 28 and 58 % of its condenser face blocked, four days in all; nobody called,
so priors are those before any call. The five rates are of the cause that
the answer acts on, that is with a chance of 0.4 or more. **No response**: no cause, and the verdict leaves it open;
**missed**: the verdict is "no compressor fault likely" and no cause is named; **misdiagnosis**: another cause.
**Chance**: of the condenser, lower tenth, middle, upper tenth. *Sealed* hours (by the hash of day and hour) were not
looked at row by row. Intervals in the gates take hours for cases. Twelve clean rows, 7:00 to 9:45 of one morning,
condense 22 to 28 K over the air like a blocked unit; where a cause is acted on there it counts as a false alarm.
*Sound day*: each row is held against the quarter hour of another, clean day that is nearest in outdoor air. Who leads
at a chance of one in a hundred is no claim, so that leading alone counts for nothing here.
"""
NOTES = """\
Finding and state together, micro average, bootstrap over notes. *Development* notes may be looked at while wording is
written, so their figure says nothing; *held-out* and *late* ones never. Their author wrote the wording too: they
flatter, and say nothing of notes by others. Notes by five other writers are read far worse: docs/NOTES.md says how
well.
"""
