package recurring

import (
	"fmt"
	"math"
	"testing"
)

// fleet is 6 positions in 20 rounds, whose valves run 2,000 h each, but for those of one position, which run 4,000 h and are looked at
// in every other round. Of every so many hours one valve fails, turn by turn.
func fleet(long string, every float64) []Visit {
	var all []Visit
	ran := 1000.0
	for r := range 20 {
		for c := range 6 {
			v := Visit{Round: fmt.Sprint("R", r), TestedIn: r, Position: fmt.Sprint("P", c), Holder: fmt.Sprint("H", (c+r)%13), Looked: true,
				Hours: 2000, SetIn: -1}
			if v.Position == long {
				if r%2 == 0 {
					continue
				}
				v.Hours = 4000
			}
			if ran += v.Hours; ran >= every {
				v.Failed = true
				ran -= every
			}
			all = append(all, v)
		}
	}
	return all
}

func judgedOf(all []Visit) []int {
	var at []int
	for i := range all {
		at = append(at, i)
	}
	return at
}

// A chance that is constant for each hour makes valves that ran twice as long fail twice as often: a power of 1, which the prior draws a
// little towards none; where those fail as often as the others, the power is none. Source: the exponential distribution for small
// chances, any text on survival.
func TestAgeIsThePowerThatTheShipShows(t *testing.T) {
	var visits []Visit
	for i := range 4000 {
		long := i%2 == 0
		v := Visit{Looked: true, Hours: 2000, Failed: i%40 == 1} // 5 %
		if long {
			v.Hours, v.Failed = 4000, i%40 == 0 || i%40 == 20 // 10 %
		}
		visits = append(visits, v)
	}
	worn := ageing(visits, judgedOf(visits))
	if r := worn[0] / worn[1]; r < 1.75 || r > 2.2 {
		t.Errorf("valves that ran twice as long count %.2f times, want about 2", r)
	}
	if sum := worn[0] + worn[1]; math.Abs(sum-2) > 1e-6 {
		t.Errorf("the mean visit counts %.4f, want 1", sum/2)
	}
	visits[0].Pulled, visits[2].Hours = true, 0
	if worn := ageing(visits, judgedOf(visits)); worn[0] != 1 || worn[2] != 1 || worn[4] < 1.2 {
		t.Errorf("a pulled valve counts %.2f, unknown hours %.2f, want 1 each; as long known ones %.2f", worn[0], worn[2], worn[4])
	}
	visits[0].Pulled, visits[2].Hours = false, 4000
	for i := range visits {
		visits[i].Failed = i%40 < 2
	}
	if worn := ageing(visits, judgedOf(visits)); math.Abs(worn[0]/worn[1]-1) > 0.05 {
		t.Errorf("valves that fail as often count %.2f times, want once", worn[0]/worn[1])
	}
	for i := range visits { // those that ran longer fail less: chance, and no merit of theirs
		visits[i].Failed = i%40 == 0 || i%40 == 1 || i%40 == 21
	}
	if worn := ageing(visits, judgedOf(visits)); worn[0] != 1 || worn[1] != 1 {
		t.Errorf("valves that fail less count %.2f and %.2f, want 1", worn[0], worn[1])
	}
}

// A position whose valves run twice as long as the others' and fail twice as often has no other fault than their age: with their hours
// it counts less than without. No outside source.
func TestAnOlderPositionIsNotWorse(t *testing.T) {
	odds := func(known bool) float64 {
		all := fleet("P5", 16000)
		for i := range all {
			if all[i].Failed = all[i].Failed || all[i].Position == "P5" && all[i].TestedIn < 12; !known {
				all[i].Hours = 0
			}
		}
		w := newComparison(all, make([]bool, len(all)))
		for _, u := range w.units {
			if u.kind == ByPosition && u.name == "P5" {
				k := 0
				for _, i := range u.at {
					if all[i].Failed {
						k++
					}
				}
				return w.against(k, u.worn[len(u.at)])
			}
		}
		t.Fatal("P5 is no unit")
		return 0
	}
	with, without := odds(true), odds(false)
	if with > without-1 {
		t.Errorf("odds %.2f with the hours, %.2f without: want less by 1 or more", with, without)
	}
}

// Histories are dealt by the hours too: a valve that counts three times fails three times as often. No outside source.
func TestHistoriesAreDealtByHours(t *testing.T) {
	v := once("A", "A", "A", "A", "B", "C", "D", "E")
	for i := range 4 {
		v[i].Failed = true
	}
	w := newComparison(v, make([]bool, len(v)))
	best, _ := w.best(w.failed, nil)
	even, _ := w.chance(best.weight)
	for i := range 4 {
		w.worn[i], w.most = 3, 3
	}
	if odd, _ := w.chance(best.weight); odd < 3*even {
		t.Errorf("chance %.4f where the four count thrice, %.4f where all count alike", odd, even)
	}
}

// A book's chance is shared by failures and pressures. 1 in 70: see the lady tasting tea.
func TestBothAreAskedAtHalfTheChance(t *testing.T) {
	v := once("A", "A", "A", "A", "B", "C", "D", "E")
	for i := range 4 {
		v[i].Failed = true
	}
	if failures, _, _ := Explain(v, 0.02); len(failures) != 0 {
		t.Errorf("a chance of 1.4 %% is named at 1 %%: %+v", failures)
	}
	if failures, _, _ := Explain(v, 0.05); len(failures) != 1 {
		t.Errorf("a chance of 1.4 %% is not named at 2.5 %%")
	}
}
