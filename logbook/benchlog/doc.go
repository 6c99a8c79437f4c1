// Package benchlog reads what a pressure sensor and any logger wrote during a test of an injection valve on the hand
// pump: zero, ramp, each opening and closing, the hold and how long the pressure took to fall between two limits, and
// bubbles in the bench. Every number comes with the uncertainty that holds the true value with a chance of 95 % and
// its parts, largest first, or with the reason why it was not read. It knows no record and no limit; what is asked
// for comes with the question. What it reads is a suggestion: the value that an engineer booked is the value. Begin
// with [Parse] and [Read].
//
// # What is what
//
//   - Opening: a quick fall of at least 15 bar and 5 %, in 60 ms or three samples, that ends above 45 % of the peak.
//     A full opening falls by 25 bar or 8 %; sampling cuts a part of both ends.
//   - Opening pressure: the median of the openings without the first. Each is read where the line through the last
//     tenth of a second of the ramp is left, half a sample on: a peak sample alone is too low by half a sample of
//     ramp, and the highest of many noisy ones too high.
//   - Closing pressure: the median of the lowest samples right after. The least certain: nothing is judged by it.
//   - Leak-down: between the crossings of two pressures on the last hold, searched from the end. Each crossing is
//     read from a line through the logarithms around it. An exponential through the whole hold is shown with its
//     residuals and decides nothing: viscosity goes with pressure, the oil cools, air dissolves.
//   - Zero: the mean of the first second, within 1 % of the sensor's span or nothing is read; where the log ends at
//     rest the drift is half the difference, and the zero the mean of both.
//   - Air: the bend at the beginning of the first ramp, as the share of bubbles by volume at no pressure.
//
// The number of samples needed follows from rate ≥ ramp / wanted error.
//
// # Accuracy, simulated
//
// From a simulation of other physics than the reader takes for granted (package internal/pump): uneven strokes, a
// first opening that sticks, an orifice beside the gap, viscosity rising with pressure and time, a sensor off and
// bowed within its class, noise of 0.8 bar, hum, quantisation. Openings at 290 to 360 bar, leak-downs of 3 to 39 s,
// class 0.25 of 600 bar, a thousand cases a row. The error of the opening pressure is without the sensor's own;
// "held" is the share in which the stated uncertainty holds the true value, the sensor's error included. No such
// figure is of a real bench.
//
//	samples a second       opening, bar      held   leak-down, %      held
//	                       median  95 %             median  95 %
//	1 a second             refused                    0.76   2.58     97.9 %  24 % of the leak-downs refused
//	5                      refused                    0.44   1.57     95.9 %
//	10                     refused                    0.36   1.11     97.2 %
//	20                        0.8   2.2       93.5 %   0.28   0.96     97.0 %
//	50                        0.4   1.3       94.6 %   0.17   0.56     96.3 %
//	100                       0.3   1.1       95.7 %   0.12   0.44     95.6 %
//	100, pumped fast          1.0   2.7       93.3 %   0.14   0.42     96.1 %  49 % of the opening pressures refused
//	200, strong hum           0.3   1.0       96.8 %   0.15   0.46     97.7 %
//	500                       0.3   1.0       96.2 %   0.09   0.26     93.6 %
//	1000, pumped fast         0.5   1.2       94.7 %   0.07   0.21     92.8 %
//	100, bench leaks          0.3   1.2       96.2 %   0.13   0.43     94.8 %
//	100, 10 bits              0.3   1.0       96.1 %   0.07   0.19     94.6 %
//	100, quiet, class 0.1     0.3   1.0       97.2 %   0.02   0.07     97.0 %
//
// A second rig (package internal/rig) pumps with an arm, rings, warms its oil, and
// logs in twelve habits: clocks, commas, mA and V, lost samples, a coarse clock. It
// is known to no line of the reader. 150 cases a row, others 20 to 60:
//
//	samples a second       opening, bar      held   leak-down, %      held
//	                       median  95 %             median  95 %
//	1 a second             refused                    0.47   1.46     99.2 %  21 % of the leak-downs refused
//	2                      refused                    0.52   1.52     94.6 %
//	5                      refused                    0.36   1.09     95.3 %
//	10                     refused                    0.28   0.82     92.6 %
//	20                        0.3   1.0       98.0 %   0.22   0.67     93.3 %
//	50                        0.2   0.7       99.3 %   0.14   0.40     93.3 %
//	100                       0.2   0.6      100.0 %   0.11   0.31     97.3 %
//	200                       0.2   0.7       98.7 %   0.07   0.22     98.0 %
//	500                       0.2   0.6       97.3 %   0.05   0.18     95.3 %
//	1000, hum of 8 bar        0.3   0.9      100   %   0.04   0.17     97.5 %
//	100, hum of 4 bar         0.2   1.1       97.5 %   0.14   0.47    100   %
//	1000, noise of 2 bar      0.2   0.6       98   %   0.15   0.37     97   %
//	100, 3 % lost             0.2   0.8      100   %   0.11   0.31     95   %
//	100, irregular            0.2   0.6       98   %   0.13   0.30     92   %
//
// The opening's uncertainty holds a little more than 95 % there: its valves differ
// less from one opening to the next than the reader grants where it sees few.
//
// # Sources
//
// Turning points that are followed by a fall of a given depth: Billauer's peak finding, from memory. Least squares
// and the uncertainty of a line: Draper and Smith, Applied Regression Analysis. Budgets and the factor of an
// interval: GUM (JCGM 100:2008), 4.3 and G.1.3. Leakage through a gap, stiffness of oil and bubbles: Rabie, Fluid
// Power Engineering. Units: NIST SP 811.
package benchlog
