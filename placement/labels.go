package placement

// labels are the measures' names for people.
var labels = map[string]string{
	"seat_width": "seat width", "seat_length": "seat length", "seat_width_share": "seat width over crown width",
	"seat_length_share": "seat length over crown length", "seat_depth_ridge": "seat depth at the ridge",
	"seat_depth_centre": "seat depth at its deepest", "seat_floor_angle_deg": "seat floor to minor connector",
	"seat_height_share": "seat height over crown height", "seat_to_incisal_angle": "seat to incisal angle",
	"channel_width": "embrasure channel width", "metal_at_ridge": "metal at the marginal ridge", "metal_least": "least metal in the rest",
	"distance_to_fulcrum": "distance to the fulcrum line", "fulcrum_ratio": "rest's over base's distance from the fulcrum line",
	"plate_height": "plate height", "plate_width": "plate width", "plate_width_share": "plate width over crown width",
	"plate_above_survey_line": "plate above the survey line", "plate_tissue_extent": "plate on the gum",
	"plate_thickness": "plate thickness", "plate_relief": "relief over the margin", "plane_angle_deg": "surface to path",
	"plane_reduction": "cut for the guide plane", "arm_length": "arm length", "tip_undercut": "undercut at the tip",
	"tip_undercut_vertical": "undercut at the tip, vertical path", "tip_to_margin": "tip to gingival margin",
	"tip_travel": "tip to survey line", "tip_slope_deg": "slope at the tip", "tip_past_bulge_deg": "tip mesial of the bulge",
	"below_survey_line_share": "share of the arm below the survey line", "rigid_undercut": "undercut under the rigid part",
	"rigid_above_survey_line": "rigid part above the survey line", "arm_height_share": "arm height over crown height",
	"arm_highest_share": "arm's highest point over crown height", "root_width": "width at the root", "root_thickness": "thickness at the root",
	"tip_width": "width at the tip", "tip_thickness": "thickness at the tip", "thickness_ratio": "tip over root thickness",
	"crown_height": "crown height", "approach_clearance": "approach arm to gingival margin", "approach_lower_border": "approach arm's lower edge below the margin",
	"approach_to_fold": "approach arm to the vestibule's depth", "vestibule_depth": "vestibule depth", "crossing_angle_deg": "angle to the gingival margin",
	"foot_height": "foot height", "foot_above_survey_line": "foot above the survey line", "finger_length": "finger length",
	"approach_relief": "relief under the approach arm", "strut_to_margin": "strut to gingival margin", "slot": "slot between the limbs",
	"guide_travel": "guide contact travel", "guide_travel_share": "guide travel over tip travel", "connector_width": "connector width",
	"connector_thickness": "connector thickness", "connector_relief": "relief", "connector_spacing": "gap to the next connector",
	"joint_angle_deg": "angle to the major connector", "upper_border_to_margin": "upper border to gingival margin", "bar_height": "bar height",
	"bar_thickness": "bar thickness", "lower_border_to_floor": "lower border to floor", "floor_depth": "probed depth of the floor", "lower_border_to_frenum": "lower border to the lingual frenum", "on_convex": "over the lingual bulge", "on_rugae_crest": "front border on a ruga", "front_of_second_premolar": "in front of the second premolar",
	"crossing_min_deg": "least angle to the gingival margin", "crossing_max_deg": "greatest angle to the gingival margin", "torus_clearance": "metal to torus",
	"torus_crossed_share": "share of the torus under metal", "torus_relief": "relief over the torus",
	"plate_top_share": "plate's top over crown height", "border_to_margin": "border to gingival margin", "strap_width": "strap width",
	"anterior_strap_width": "anterior strap width", "posterior_strap_width": "posterior strap width", "lateral_strap_width": "lateral strap width",
	"opening_length": "opening, front to back", "opening_width": "opening, across", "border_to_vibrating_line": "rear border to vibrating line",
	"midline_crossing_deg": "border to midline", "asymmetry": "difference between sides", "bead_width": "bead width",
	"palate_covered_share": "share of the palate covered", "connector_length": "connector length", "lattice_length": "lattice length",
	"ridge_length": "ridge length", "lattice_share": "lattice over ridge length", "lattice_to_pad": "lattice to pad", "relief": "relief under the lattice",
	"relief_start": "relief begins from the abutment", "lattice_opening_length": "lattice opening, along", "lattice_opening_width": "lattice opening, across",
	"pad_covered_share": "share of the pad covered", "base_area": "area covered", "stop_size": "stop size", "stop_to_pad": "stop to pad",
	"finish_offset": "finish lines apart", "crown_width": "tooth width", "crown_breadth": "tooth breadth", "behind_lattice": "tooth behind the lattice",
	"ridge_slope_deg": "slope of the ridge", "encirclement_deg": "encirclement", "contact_areas": "contact areas",
	"margin_covered_share": "share of gingival margin covered", "pieces": "separate bodies", "rests_off_line": "rests off one line",
	"blockout_gap": "block-out under rigid metal", "head_gap": "gap at the bar's head", "finger_gap": "gap at the fingers", "interference": "arm into the tooth", "bulk_height_share": "thickest place over bar height",
	"turn_interference": "metal into the cast on the rotational path", "turn_engaged": "undercut held by rigid retainers", "turn_free_deg": "turn of the rotational path",
	"fulcrum_length": "fulcrum line length", "tooth_present": "tooth on the cast", "palate_seen_share": "palate shown by the scan", "crown_charted": "crown charted",
}

// Label is a measure's name for people, as in "upper border to gingival margin".
func Label(name string) string {
	if s, ok := labels[name]; ok {
		return s
	}
	return name
}
