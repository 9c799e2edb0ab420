package detect

import (
	"stopledger/analyze/detect/lattice"
	"stopledger/analyze/detect/pyramid"
)

// DefaultParams returns the parameters in use.
func DefaultParams() Params {
	p := Params{Flat: pyramid.DefaultParams(), Lattice: lattice.DefaultParams()}
	p.setSearch()
	p.setChart()
	p.setNeutrals()
	p.setCard()
	p.setWorth()
	p.setFace()
	p.setAgree()
	return p
}

func (p *Params) setSearch() {
	least := p.Flat.LeastSteep
	p.Search = SearchParams{
		Doubtful: 0.5, PxPerReduction: 30, SmallestPx: 60, SmallestPart: 32,
		Close:  pyramid.Drawing{Sigmas: 3, LeastLuma: least, LeastColour: least},
		Finest: pyramid.Drawing{Sigmas: 4, LeastLuma: least, LeastColour: least},
		Loose:  pyramid.Drawing{Sigmas: 5, LeastLuma: 70, LeastColour: 200},

		SureOfChart: 0.9, SureNodes: 18, NearTop: 0.985, MostPixels: 4096, MostCast: 1, LeastPatchArea: 3,
	}
}

func (p *Params) setChart() {
	p.Chart = ChartParams{
		LeastLikeness: 0.45, LeastExplained: 0.72, FullExplained: 0.88, LeastVariety: 0.2,
		LeastUsed: 14, LeastFit: 6, LeastDistance: 0.1, MostDistance: 3, LeastSpread: 0.05, Rounds: 4,

		MostPerspective: 2.5, GatherReach: 0.3, GatherArea: 1.1,
		MostMiss: 2.5, MissSlack: 0.1, LeastPoints: 8, Sample: 0.2,

		OddFree: 3, OddCost: 0.05, OddMerit: 0.02, NodeGain: 0.004, StillPay: 0.1, FewWorth: 0.7, Region: 0.3,
	}
	p.Refine = RefineParams{
		MostTries: 3, Apart: 0.1, EnoughPx: 9, Steps: [3]float64{0.1, 0.05, 0.025}, Rounds: 4,
		LessUneven: 0.005, Inside: 0.36, EdgeCode: 150, EdgeNoise: 2,
	}
}

func (p *Params) setNeutrals() {
	p.Neutrals = NeutralParams{
		Darkest: -4, MostClipped: 0.01, OffLine: 0.06, WithWhite: 1.0 / 3, WellBelow: 0.12, DarkBelow: 4,
		LeastSlope: 0.45, MostSlope: 2, EditionSpread: 0.02, GlareStops: 0.15, GlareSlope: 0.04,
		UnevenErrors: 3, LeastUneven: 0.05, UnevenPatches: 12,
	}
	p.Doubt = DoubtParams{
		Slope: 0.04, Residual: 0.05, FitSlope: 0.02, FitResidual: 0.03, Straight: 0.015,
		LeastCurve: 4, LeastRange: 1.9, LeastBend: 0.008, FlareLeaves: 0.5, MostFlare: 0.05, FlareStep: 0.0002,
	}
}

func (p *Params) setCard() {
	p.Card = CardParams{
		LeastShare: 1.0 / 32, LeastPx: 10, MostShare: 0.6, LeastFilled: 0.6, LeastOutline: 0.82,
		LeastSquareness: 0.5, MostOpposite: 1.8, MostAspect: 2.6, LeastSine: 0.6,

		Middle: 0.5, Spread: 0.1, MostAlike: 2, AlikeRatio: 2.5, AlikeSurer: 0.6,
		SeenSure: 0.9, SameArea: 1.25, SamePlace: 0.1,
		AroundStops: 0.08, AroundReach: 2.5, AroundRim: 2, AroundLevel: 2,
		EvenInside: 0.8, EvenPixels: 400, EvenRounds: 5, EvenSigmas: 3, LeastNoise: 0.25, Brighter: 1,
	}
	p.Edge = EdgeParams{
		Margin: 0.06, OnLine: 1, MostMoved: 12, LeastProbes: 4, Apart: 3, Steepest: 0.7,
		WellSeen: 0.7, SmallestTraced: 36, SharpEnough: 0.55, SeenEnough: 0.85, Averaged: 0.6, StepFloor: 2,

		CornerCode: 50, CornerSteps: 1.5, InsetPx: 3.5, LeastInset: 0.07, MostInset: 0.12,

		CarryShare: 0.3, CarryLeast: 8, CarryMost: 16, CarryClear: 4,
		CarryContrast: 0.5, CarryOff: 1.5, CarrySeen: 6,
	}
	p.Crowd = CrowdParams{
		Itself: 3, Near: 2.5, TwinSize: 1.35, TwinShape: 0.2, NearSize: 1.8, NearShape: 0.35,
		CompanySize: 2.5, CompanyShape: 1.2, Compact: 0.8, WallLeast: 10, WallMost: 2.5,
		StepInside: 0.6, StepShare: 0.25, StepReach: 2, StepOff: 0.25, StepCode: 60, OwnPlace: 0.25, OwnArea: 4.0 / 3,
	}
}

func (p *Params) setWorth() {
	p.Worth = WorthParams{
		Shape: 1.2, Corners: Ramp{1.2, 3}, Carried: Ramp{3, 0.6},
		Rough: Ramp{2.1, 1.1}, RoughStops: Ramp{0.05, 0.02}, Texture: Ramp{0.12, 0.045},
		Even: Ramp{0.04, 0.02}, Tint: Ramp{0.1, 0.03}, EvenRoot: 2, Tinted: Ramp{0.3, 0.1}, TintedCost: 0.3,
		Lifeless: 0.0005, LifelessCost: 0.5,
		Slope: Ramp{0.5, 0.1}, SlopeWide: 1.2, Around: Ramp{2, 1.2}, AroundEnds: Ramp{2, 0.5},
		Sides: Ramp{0.57, 0.75}, Strong: Ramp{1, 3}, Sharp: Ramp{0.5, 0.8}, Share: Ramp{0.6, 0.4},
		Filled: Ramp{0.5, 0.72}, Outline: Ramp{0.885, 0.977}, OutlineCost: 0.45,
		Near: Ramp{4, 1}, Twins: Ramp{8, 3}, Company: Ramp{8, 4}, Walled: Ramp{3.5, 0.5},

		Dark: Ramp{-4.5, -3}, Bright: Ramp{5.5, 4.5}, Clipped: Ramp{0.02, 0},
		BrighterCost: 0.45, Brighter: Ramp{0, 0.01}, PaperStops: Ramp{1.8, 0.5}, PaperOver: Ramp{2, 1},

		Neutral: Ramp{0.6, 0.3}, Cast: Ramp{0.4, 0.2}, CastWorth: 0.75, CastOwn: Ramp{2, 1.5},
	}
}

func (p *Params) setFace() {
	p.Face = FaceParams{
		ImageSide: 1000, LeastPx: 24, LeastShare: 1.0 / 18, Shift: 0.1, Growth: 1.1, Overlap: 0.2,
		Spread: 0.7, Score: Ramp{5, 15}, Skin: [4]float64{-0.22, -0.05, 0.22, 0.17},
		RedLow: Ramp{-0.05, 0.1}, RedHigh: Ramp{2, 1.5}, BlueLow: Ramp{-0.4, -0.1}, BlueHigh: Ramp{2.5, 2},
	}
}

func (p *Params) setAgree() {
	p.Agree = AgreeParams{
		SameStops: 0.3, VerySameStops: 0.15, VerySamePlace: 0.05, MostGrowth: 2, MostOff: 10, LoneWorth: 0.8, LoneFrames: 2,
	}
}
