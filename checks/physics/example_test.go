package physics_test

import (
	"fmt"

	"needlebook/checks/physics"
)

// A worn holder adds to the nozzle's lift; facing the holder and grinding the nozzle body takes it back.
func ExampleRegrindTo() {
	effective, _ := physics.EffectiveLift(0.84, 0.04)
	g, _ := physics.RegrindTo(0.76, 0.84, 0.04)
	fmt.Printf("%.2f mm: holder face %.2f mm, nozzle face %.2f mm, then %.2f mm\n", effective, g.HolderFace, g.NozzleFace, g.Lift)
	// Output: 0.88 mm: holder face 0.04 mm, nozzle face 0.08 mm, then 0.76 mm
}

// The oil of ASTM D341's usual illustration: 32 mm²/s at 40 °C, 5.4 at 100 °C.
func ExampleOil_KinematicMM2S() {
	oil, _ := physics.NewOil(physics.Viscosity{AtC: 40, MM2S: 32}, physics.Viscosity{AtC: 100, MM2S: 5.4}, 880)
	v, _ := oil.KinematicMM2S(80)
	fmt.Printf("%.1f mm²/s\n", v)
	// Output: 8.5 mm²/s
}

func ExampleOil_DensityKGM3() {
	oil, _ := physics.NewOil(physics.Viscosity{AtC: 40, MM2S: 2.6}, physics.Viscosity{AtC: 100, MM2S: 1.05}, 825)
	d, _ := oil.DensityKGM3(40)
	fmt.Printf("%.1f kg/m³\n", d)
	// Output: 806.9 kg/m³
}

// A leak-down timed with warm oil, referred to the 20 °C of the limit.
func ExampleReferred() {
	oil, _ := physics.NewOil(physics.Viscosity{AtC: 40, MM2S: 2.6}, physics.Viscosity{AtC: 100, MM2S: 1.05}, 825)
	warm, _ := oil.DynamicMPaS(30)
	cold, _ := oil.DynamicMPaS(20)
	t, _ := physics.Referred(8.0, physics.State{DynamicMPaS: warm, BulkGPa: physics.Softened(1.4, 0.5, 10)},
		physics.State{DynamicMPaS: cold, BulkGPa: 1.4})
	fmt.Printf("%.1f s\n", t)
	// Output: 9.8 s
}

func ExampleGuide_Clearance() {
	g := physics.Guide{DiameterMM: 6, LengthMM: 20}
	c, _ := g.Clearance(12.0, physics.Hold{FromBar: 250, ToBar: 200, TrappedCM3: 5, BulkGPa: 1.4, DynamicMPaS: 2.145})
	fmt.Printf("%.2f µm\n", c)
	// Output: 1.22 µm
}

func ExampleWithoutBench() {
	t, _ := physics.WithoutBench(10, 60)
	fmt.Printf("%.0f s\n", t)
	// Output: 12 s
}

// A valve left at 340 bar comes back at 330, and its seat has widened by 0.1 mm: the spring has lost twice what the gauge shows.
func ExampleNeedle_SeatShift() {
	s, _ := physics.Needle{GuideMM: 6, SeatMM: 3.6}.SeatShift(340, 330, 3.7)
	fmt.Printf("%+.1f bar in all, %+.1f by the seat, %+.1f by the spring (%+.0f N)\n", s.Total, s.Seat, s.Spring, s.Force)
	// Output: -10.0 bar in all, +11.1 by the seat, -21.1 by the spring (-37 N)
}

func ExampleWindow_Marks() {
	m, _ := physics.Window{Low: 345.6, High: 355.6}.Marks(5)
	fmt.Printf("aim at %v to %v bar\n", m.Low, m.High)
	// Output: aim at 350 to 355 bar
}

func ExampleSpring_Rate() {
	k, _ := physics.Spring{WireMM: 2.5, CoilMM: 22.25, ActiveCoils: 16, ShearGPa: 79.3}.Rate()
	fmt.Printf("%.3f N/mm\n", k)
	// Output: 2.197 N/mm
}
