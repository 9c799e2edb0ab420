// Package report turns measurements into what people and programs read: text, JSON, CSV, HTML
// and pictures. It computes nothing and never touches a frame of a clip.
package report

// Schema names the JSON document. Fields may be added to it; none is renamed or removed.
const Schema = "stopledger/audit/1"

// A Document is one audit. A pointer that is nil, and so null in JSON, was not measured.
type Document struct {
	Schema   string    `json:"schema"`
	Tool     Tool      `json:"tool"`
	Settings Settings  `json:"settings"`
	Clips    []Clip    `json:"clips"`
	Failed   []Failure `json:"failed"`
}

// A Tool is the program that wrote the document.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// Settings are the flags the audit was run with, as the user gave them.
type Settings struct {
	Curve       string    `json:"curve"`
	Range       string    `json:"range"`
	Matrix      string    `json:"matrix"`
	Region      *Rect     `json:"region"`
	Reflectance float64   `json:"reflectance"` // of what lies in the region or of the card, 0..1
	Target      float64   `json:"target_stops"`
	Grey        string    `json:"grey"` // which evidence of grey to use: auto, region, chart, card, face, scene
	Lifts       []float64 `json:"lifts"`
	EveryFrame  bool      `json:"every_frame"`

	Assume      string         `json:"assume"`       // curve for clips that name none; empty for none
	Index       int            `json:"ei"`           // exposure index, 0 for auto
	SceneTarget bool           `json:"target_scene"` // the scene's average may be the ground for a correction
	Subject     string         `json:"subject"`      // auto, or face: a face may be one
	Edition     string         `json:"edition"`      // of the chart
	HoldGrey    bool           `json:"hold_grey"`
	Patches     []PatchSetting `json:"patches"` // regions the user gave; the first one is region
}

// A PatchSetting is an area the user gave, with what it reflects.
type PatchSetting struct {
	Region      Rect    `json:"region"`
	Reflectance float64 `json:"reflectance"` // 0..1
}

// A Failure is a clip that could not be measured.
type Failure struct {
	Path  string `json:"path"`
	Error string `json:"error"`
}

// A Rect is an area in pixels of the frame as coded.
type Rect struct {
	X int `json:"x"`
	Y int `json:"y"`
	W int `json:"w"`
	H int `json:"h"`
}

// A Clip is all that was found out about one clip.
type Clip struct {
	Path        string   `json:"path"`
	Bytes       int64    `json:"bytes"`
	Container   string   `json:"container"`
	Codec       string   `json:"codec"`
	Profile     string   `json:"profile"`
	PixelFormat string   `json:"pixel_format"`
	Bits        int      `json:"bits"`
	Chroma      string   `json:"chroma"`
	Width       int      `json:"width"`
	Height      int      `json:"height"`
	Rotation    int      `json:"rotation_deg"`
	FrameRate   float64  `json:"frame_rate"`
	Frames      int      `json:"frames"`
	DurationS   float64  `json:"duration_s"`
	Timecode    string   `json:"timecode"`
	Range       Origin   `json:"range"`
	Matrix      Origin   `json:"matrix"`
	Camera      *Camera  `json:"camera"`
	Curve       Curve    `json:"curve"`
	Sampling    Sampling `json:"sampling"`

	Placement  *Placement `json:"placement"`
	Noise      Noise      `json:"noise"`
	Highlights Highlights `json:"highlights"`
	Advice     Advice     `json:"advice"`

	Histogram *Histogram `json:"histogram"`
	Scene     *Scene     `json:"scene"`
	Over      []Moment   `json:"over_time"` // one entry a group of frames
	Variation Variation  `json:"variation"`
	Pictures  *Pictures  `json:"pictures"` // null unless a report folder was written
}

// An Origin is a value with where it came from: flag, tag, metadata, default ...
type Origin struct {
	Value  string `json:"value"`
	Origin string `json:"origin"`
}

// A Camera is what the recording says of the camera's settings; null or left out where it does
// not say.
type Camera struct {
	Make          string   `json:"make,omitempty"`
	Model         string   `json:"model,omitempty"`
	Serial        string   `json:"serial,omitempty"`
	Lens          string   `json:"lens,omitempty"`
	FocalMM       *float64 `json:"focal_mm"`
	Timecode      string   `json:"timecode,omitempty"` // of the first frame, as the camera wrote it; the container may have another
	ISO           *float64 `json:"iso"`
	ExposureIndex *float64 `json:"exposure_index"`
	GainDB        *float64 `json:"gain_db"`
	Exposure      string   `json:"exposure,omitempty"` // how it was set: manual, automatic, iris priority ...
	ShutterS      *float64 `json:"shutter_s"`
	ShutterDeg    *float64 `json:"shutter_angle_deg"`
	IrisF         *float64 `json:"iris_f"`
	IrisT         *float64 `json:"iris_t"`
	NDStops       *float64 `json:"nd_stops"`
	WhiteBalanceK *float64 `json:"white_balance_k"`
	Tint          *float64 `json:"tint"` // in tint_unit
	TintUnit      string   `json:"tint_unit,omitempty"`
	CaptureFPS    *float64 `json:"capture_fps"`
	Gamut         string   `json:"gamut,omitempty"`
	Matrix        string   `json:"matrix,omitempty"`               // as the camera says; what the clip was read with is the clip's matrix
	Look          *Look    `json:"look"`                           // the look it carried, not applied to the recording
	FramesHeld    int      `json:"settings_frames,omitempty"`      // frames that carry settings
	FramesRead    int      `json:"settings_frames_read,omitempty"` // of those, how many were looked at for changes
	Changes       []string `json:"changes,omitempty"`              // what changed while recording
}

// A Look is the colour decision list of a clip (ASC CDL v1.2): out = (in x slope + offset) ^ power.
type Look struct {
	Slope      [3]float64 `json:"slope"` // R, G, B
	Offset     [3]float64 `json:"offset"`
	Power      [3]float64 `json:"power"`
	Saturation float64    `json:"saturation"`
}

// A Level is a recorded level.
type Level struct {
	Code    float64 `json:"code"`    // on the 10-bit scale
	Percent float64 `json:"percent"` // video level, as zebras show
}

// A Curve is the transfer function the clip was read with.
type Curve struct {
	Name    string `json:"name"`
	Origin  string `json:"origin"`
	Assumed bool   `json:"assumed"` // named by --assume: every number rests on it
	Index   int    `json:"exposure_index,omitempty"`
	Source  string `json:"source"` // document title, section
	MidGrey Level  `json:"mid_grey"`
}

// A Sampling says which frames were measured.
type Sampling struct {
	Mode           string `json:"mode"` // groups or every
	Groups         int    `json:"groups"`
	FramesMeasured int    `json:"frames_measured"`
	FramesLost     int    `json:"frames_lost"` // present in the file but not decodable
}

// A Placement is where mid grey landed.
type Placement struct {
	Stops       float64     `json:"stops"` // over nominal; -1 is a stop under
	Low         float64     `json:"low"`   // 95 % interval
	High        float64     `json:"high"`
	Method      string      `json:"method"` // region, card, chart, face, scene
	Weak        bool        `json:"weak"`   // not a ground for a pull by itself
	Carried     string      `json:"carried_from,omitempty"`
	Confidence  *float64    `json:"confidence"` // 0..1 of the detection, null where a region was given
	Code        float64     `json:"code"`       // on the 10-bit scale
	Percent     float64     `json:"percent"`
	Reflectance float64     `json:"reflectance"` // assumed for what was measured
	Region      *Rect       `json:"region"`
	Corners     [][2]int    `json:"corners,omitempty"` // of the card or chart, pixels
	DriftStops  *float64    `json:"drift_stops"`       // last less first, along the fitted line
	Series      []StopsAt   `json:"series"`
	Chart       *Chart      `json:"chart"`
	Candidates  []Candidate `json:"candidates"`
}

// A StopsAt is a value in stops at a time.
type StopsAt struct {
	T     float64 `json:"t_s"`
	Stops float64 `json:"stops"`
}

// A Candidate is one piece of evidence of where grey is.
type Candidate struct {
	Method     string  `json:"method"`
	Stops      float64 `json:"stops"`
	Confidence float64 `json:"confidence"` // 0..1
	Region     *Rect   `json:"region"`
	Used       bool    `json:"used"`
	Note       string  `json:"note,omitempty"`
}

// A Chart is the fit of a 24-patch chart's neutrals.
type Chart struct {
	Edition       string     `json:"edition"`
	Slope         float64    `json:"slope"` // of log2 measured on log2 published; 1 for the right curve
	ResidualStops float64    `json:"residual_stops"`
	WhiteBalance  [3]float64 `json:"white_balance_stops"` // R, G, B over their mean
	Patches       []Patch    `json:"patches"`
	Doubt         string     `json:"doubt,omitempty"`
}

// A Patch is one patch of a chart; the neutrals are the last six.
type Patch struct {
	Name      string   `json:"name"`
	Published float64  `json:"published_stops"`
	Measured  *float64 `json:"measured_stops"`
	Residual  *float64 `json:"residual_stops"`
	Used      bool     `json:"used"`
}

// Noise is the temporal noise of the recording.
type Noise struct {
	FloorStops       *float64  `json:"floor_stops"`       // recorded stops where SNR is 1
	FloorSNR2Stops   *float64  `json:"floor_snr2_stops"`  // recorded stops where SNR is 2
	UsableStops      *float64  `json:"usable_stops"`      // from the floor to the ceiling
	Suppressed       bool      `json:"suppressed"`        // the recording hides the sensor's noise
	SuppressedReason string    `json:"suppressed_reason"` // why, empty if not
	Model            *Model    `json:"model"`             // null when it does not fit
	ModelReason      string    `json:"model_reason,omitempty"`
	Tones            []Tone    `json:"tones"`
	Channels         []Channel `json:"channels"` // R', G', B'
	GrainPx          *float64  `json:"grain_px"` // correlation length of the noise, 1 for white noise
	Codec            *Codec    `json:"codec"`
	Graded           []Graded  `json:"graded"` // after the advised correction, and after lifts asked for
	RejectedShare    float64   `json:"rejected_share"`
}

// A Model is variance = read^2 + shot x linear, in scene-linear units.
type Model struct {
	Read      float64  `json:"read_linear"`
	Shot      float64  `json:"shot_linear"`
	ReadError *float64 `json:"read_error"` // one standard error
	ShotError *float64 `json:"shot_error"`
	Chi2      *float64 `json:"chi2_per_freedom"`
}

// A Tone is the noise at one level of luma.
type Tone struct {
	RecordedStops float64  `json:"recorded_stops"` // mean level of the cells
	SceneStops    *float64 `json:"scene_stops"`    // the same from the subject's grey
	Code          float64  `json:"code"`
	SigmaCode     *float64 `json:"sigma_code"` // 10-bit scale; null when below what whole codes can show
	Below         *float64 `json:"below_code"` // then sigma is below this
	SigmaLinear   *float64 `json:"sigma_linear"`
	SNR           *float64 `json:"snr_db"`
	Low           *float64 `json:"low_db"` // 95 % interval of the SNR
	High          *float64 `json:"high_db"`
	Cells         int      `json:"cells"`
	FixedCode     *float64 `json:"fixed_pattern_code"` // standing pattern, 10-bit scale
	RowCode       *float64 `json:"row_code"`           // of it, banding by rows
	ColumnCode    *float64 `json:"column_code"`
}

// A Channel is the noise of R', G' or B'.
type Channel struct {
	Name    string   `json:"name"`
	GrainPx *float64 `json:"grain_px"`
	Tones   []Tone   `json:"tones"`
}

// A Codec is what coding did to the noise.
type Codec struct {
	RepeatedShare  float64             `json:"repeated_share"`   // cells whose every sample repeats the frame before
	CoarseOverFine *float64            `json:"coarse_over_fine"` // 4 x variance of 2x2 means / variance: over 1 where the finest noise is missing
	Kurtosis       *float64            `json:"kurtosis"`         // of differences; 3 for noise as a sensor makes it
	LagGrowth      *float64            `json:"lag_growth"`       // variance over the longest lag / over one frame
	ByPicture      map[string]*float64 `json:"by_picture"`       // mean variance of differences into I, P and B pictures, code^2
}

// Graded is the noise as displayed after a correction.
type Graded struct {
	Name         string       `json:"name"` // advised, as recorded, lift +1 ...
	Stops        float64      `json:"stops"`
	Tones        []GradedTone `json:"tones"`
	VisibleBelow *float64     `json:"visible_below_scene_stops"` // noise is plainly visible below this tone
}

// A GradedTone is one scene tone as displayed.
type GradedTone struct {
	SceneStops float64  `json:"scene_stops"`
	SNR        *float64 `json:"snr_db"`
	Nominal    *float64 `json:"nominal_snr_db"` // had grey been placed at nominal
	SigmaL     *float64 `json:"sigma_lightness"`
}

// Highlights are what clipped and what is left.
type Highlights struct {
	Ceiling   Ceiling          `json:"ceiling"`
	Channels  map[string]Level `json:"channel_ceilings"` // measured ones only
	Headroom  *float64         `json:"headroom_stops"`   // null when something clips
	Brightest *float64         `json:"brightest_stops"`  // 99.9th percentile, recorded stops
	Clipped   Shares           `json:"clipped"`
	Edge      string           `json:"edge"`       // hard: light piles up at the ceiling; soft: it crowds below without one; none
	SoftShare *float64         `json:"soft_share"` // of the frame within the roll-off below the ceiling
	Areas     []Area           `json:"areas"`
}

// A Ceiling is the level at which the recording clips.
type Ceiling struct {
	Code          float64 `json:"code"`
	Percent       float64 `json:"percent"`
	RecordedStops float64 `json:"recorded_stops"`
	Origin        string  `json:"origin"` // measured or curve
}

// Shares of the frame, 0..1, means over the measured frames.
type Shares struct {
	R   float64 `json:"r"`
	G   float64 `json:"g"`
	B   float64 `json:"b"`
	Any float64 `json:"any"`
	All float64 `json:"all"`
}

// An Area is a clipped region.
type Area struct {
	Rect
	Share      float64 `json:"share"`
	Kind       string  `json:"kind"` // field or points
	From       float64 `json:"from_s"`
	To         float64 `json:"to_s"`
	HueShare   float64 `json:"some_channels_share"` // part of it where one or two channels still hold
	FrameShare float64 `json:"peak_share"`
}

// Advice is what to do.
type Advice struct {
	Action   string    `json:"action"` // pull, lift, hold
	Stops    float64   `json:"stops"`  // pull: how far down; lift: how far up; hold: 0
	Summary  string    `json:"summary"`
	Findings []Finding `json:"findings"`
	After    After     `json:"after"`
	Next     NextTake  `json:"next_take"`
}

// A Finding is one thing a person should know.
type Finding struct {
	ID    string `json:"id"`
	Level string `json:"level"` // note, caution, alarm
	Text  string `json:"text"`
}

// After is the state after the correction.
type After struct {
	SNR            *float64 `json:"snr_db"` // at scene -4 stops
	NominalSNR     *float64 `json:"nominal_snr_db"`
	GainDB         *float64 `json:"gain_db"`
	CeilingDisplay *float64 `json:"ceiling_display_percent"`
}

// NextTake is what to change.
type NextTake struct {
	Stops *float64 `json:"stops"`         // exposure change; + opens up
	Zebra *float64 `json:"zebra_percent"` // where grey should then read
	Text  string   `json:"text"`
	For   []ForSNR `json:"for_snr"`
}

// ForSNR is the placement that puts scene -4 stops at an SNR.
type ForSNR struct {
	SNR   float64  `json:"snr_db"`
	Stops *float64 `json:"placement_stops"`
	Zebra *float64 `json:"zebra_percent"`
}

// A Histogram is the share of luma samples by recorded stops, means over the measured frames.
type Histogram struct {
	First  float64   `json:"first_stops"` // lower edge of the first bin
	Step   float64   `json:"step_stops"`
	Shares []float64 `json:"shares"`
	Below  float64   `json:"below"` // share under the first bin, no light included
}

// A Scene is the level of luma over the clip, in recorded stops: log-average and percentiles.
type Scene struct {
	Average *float64 `json:"log_average_stops"`
	P1      *float64 `json:"p1_stops"`
	P10     *float64 `json:"p10_stops"`
	P50     *float64 `json:"p50_stops"`
	P90     *float64 `json:"p90_stops"`
	P99     *float64 `json:"p99_stops"`
}

// A Moment is one group of frames.
type Moment struct {
	T         float64  `json:"t_s"`
	Placement *float64 `json:"placement_stops"`
	Level     *float64 `json:"scene_level_stops"` // log-average of the frame
	Floor     *float64 `json:"floor_stops"`
	Clipped   float64  `json:"clipped_any"`
}

// Variation tells apart how the exposure moved over the clip; null where not found.
type Variation struct {
	DriftStops   *float64 `json:"drift_stops"`
	StepStops    *float64 `json:"step_stops"`
	StepAt       *float64 `json:"step_at_s"`
	FlickerStops *float64 `json:"flicker_stops"` // peak to peak
	FlickerHz    *float64 `json:"flicker_hz"`    // as seen at this frame rate
}

// Pictures are files beside the document, by name relative to its folder.
type Pictures struct {
	Thumb    string  `json:"thumb"`
	Recorded string  `json:"recorded"`
	After    string  `json:"after"`
	StopMap  string  `json:"stop_map"`
	Clipped  string  `json:"clipped"`
	Waveform string  `json:"waveform"`
	Levels   string  `json:"levels"` // 8-bit lossless picture of recorded stops, for reading values under the pointer
	Strips   []Strip `json:"strips"`
}

// A Strip is a piece of the picture enlarged, in consecutive frames side by side.
type Strip struct {
	Name   string   `json:"name"`  // recorded, after, lift +1 ...
	Stops  float64  `json:"stops"` // correction shown
	File   string   `json:"file"`
	Region Rect     `json:"region"`
	Frames int      `json:"frames"`
	Scale  int      `json:"scale"` // 4 is 400 %
	SNR    *float64 `json:"snr_db"`
}
