package rulebook

import (
	"fmt"
	"sort"
	"strings"
	"sync"

	"halfpear/words"
)

// Type is the type of a fact.
type Type string

const (
	Number Type = "number"
	Count  Type = "count"
	Flag   Type = "yes/no"
	Text   Type = "text"
	List   Type = "list of texts"
)

// Fact documents one fact that rules may ask for.
type Fact struct {
	Name string // group and name, as in "tooth.mobility"
	Type Type
	Unit string
	From string // chart, survey, design, placement, mechanics, plan, order, return; several with commas
	Doc  string
}

// Known lists every fact, in order of name.
var Known = func() []Fact {
	out := append([]Fact(nil), facts...)
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}()

var knownByName = func() map[string]Fact {
	m := map[string]Fact{}
	for _, f := range facts {
		m[f.Name] = f
	}
	return m
}()

func known(name string) (Fact, bool) { f, ok := knownByName[name]; return f, ok }

// workingRule stands among the missing facts for a rule that could not be worked out.
const workingRule = "a working rule"

// FactLabel is a fact in words, as in a list of what is not known.
func FactLabel(name string) words.Word {
	f, ok := known(name)
	switch {
	case name == workingRule:
		return words.WorkingRule
	case !ok:
		return words.Own(name, name)
	}
	return words.Own(f.Doc, germanFacts()[name])
}

// germanFacts are the facts' German, by name.
var germanFacts = sync.OnceValue(func() map[string]string {
	m, err := translated[string]("facts.yaml")
	if err != nil {
		return nil // the English is shown, marked as such
	}
	return m
})

var facts = []Fact{
	{"case.arch", Text, "", "chart", "the arch, upper or lower"},
	{"case.class", Text, "", "chart", "Kennedy class found, I to IV or empty"},
	{"case.modifications", Count, "", "chart", "number of modification spaces"},
	{"case.class_written", Text, "", "chart", "the class found, as it is written"},
	{"case.stated_class", Text, "", "order", "the class as the order writes it"},
	{"case.readings_differ", Flag, "", "chart", "strict and wider reading give different classes"},
	{"case.standing", Count, "teeth", "chart", "teeth that stand"},
	{"case.one_side_empty", Flag, "", "chart", "one side has no tooth"},
	{"case.tooth_supported", Flag, "", "chart", "every base is bounded"},
	{"case.has_axis", Flag, "", "chart", "the denture can turn about a fulcrum line"},
	{"case.rest_candidates", Count, "teeth", "chart", "standing teeth that could carry a rest"},
	{"case.retainers_min", Count, "", "chart", "least usual number of retainers of the class"},
	{"case.retainers_max", Count, "", "chart", "greatest usual number of retainers of the class"},
	{"case.last_abutment_place", Count, "", "chart", "place from the midline of the last tooth before an extension, the foremost of two"},
	{"case.missing_root_area_mm2", Number, "mm²", "chart", "average root area of the missing teeth"},

	{"patient.smile_line", Text, "", "chart", "smile line: low, medium or high"},
	{"patient.gag", Flag, "", "chart", "gag reflex"},
	{"patient.dexterity", Text, "", "chart", "dexterity: good or poor"},
	{"patient.caries_risk", Text, "", "chart", "caries risk: low, medium or high"},
	{"patient.hygiene", Text, "", "chart", "hygiene: good or poor"},
	{"patient.allergies", List, "", "chart", "known allergies"},
	{"opposing.kind", Text, "", "chart", "what stands in the other arch"},

	{"tissue.floor_min_mm", Number, "mm", "chart", "least distance from the lingual margin to the functional floor"},
	{"tissue.floor_functional", Flag, "", "chart", "the floor was recorded in function"},
	{"tissue.diastema", Flag, "", "chart", "an open space between the front teeth"},
	{"tissue.palatal_torus", Flag, "", "chart", "a palatal torus"},
	{"tissue.labial_depth_mm", Number, "mm", "chart, survey", "least vestibule depth at the front teeth"},

	{"path.stored", Flag, "", "survey", "a path of insertion is stored"},
	{"path.tripod_marks", Count, "", "survey", "number of tripod marks"},
	{"path.tilt_deg", Number, "deg", "survey", "tilt of the path from the occlusal plane's normal"},
	{"path.tripod_on_prepared_tooth", Flag, "", "survey", "a tripod mark lies on a tooth to be prepared"},
	{"path.tripod_spacing_mm", Number, "mm", "survey", "distance of the two nearest tripod marks"},
	{"path.tripod_step_mm", Number, "mm", "survey", "difference in height of the tripod marks"},
	{"path.tips_without_tilt", Count, "", "placement", "retentive tips that stand in undercut on the untilted cast"},

	{"design.rests", Count, "", "design", "number of rests"},
	{"design.rests_off_line_mm", Number, "mm", "design", "how far the rests lie off one straight line"},
	{"design.retainers", Count, "", "design", "number of retainers; an embrasure or multiple clasp counts as two"},
	{"design.tips", Count, "", "design", "number of retentive tips"},
	{"design.tips_both_sides", Flag, "", "design", "retentive tips on both sides of the arch"},
	{"design.tips_opposed", Flag, "", "design", "a tip of each side lies on the same surface, facial or lingual"},
	{"design.guide_planes", Count, "", "design", "number of guide planes"},
	{"design.crosses_arch", Flag, "", "design", "a rigid connector joins the two sides"},
	{"design.root_area_mm2", Number, "mm²", "chart, design", "average root area of the abutments"},
	{"design.base_area_mm2", Number, "mm²", "placement", "area of the bases on the ridge"},
	{"design.rests_beyond_axis", Count, "", "design", "rests on the far side of the fulcrum line from the extension base"},
	{"design.indirect_rests", Count, "", "design", "rests placed for indirect retention"},
	{"design.posterior_rests", Count, "", "design", "rests on teeth behind the abutments of a front space"},
	{"design.clasp_between", Flag, "", "design", "an active clasp lies between the extension base and the indirect retainer"},
	{"design.rotational", Flag, "", "design", "the design uses a rotational path"},
	{"design.rotational_clasp", Flag, "", "design", "a retentive clasp sits on the rotating end"},
	{"design.turn_interference_mm", Number, "mm", "placement", "how deep rigid metal comes into the cast on the rotational path"},
	{"design.turn_at", List, "", "placement", "tooth where it comes in deepest; none on the gum"},
	{"design.turn_engaged_mm", Number, "mm", "placement", "undercut that the rigid retainers of a rotational path hold in"},
	{"design.turn_free_deg", Number, "deg", "placement", "turn back from the seat after which the framework comes off straight"},

	{"tooth.number", Count, "", "chart", "FDI number"},
	{"tooth.place", Count, "", "chart", "place from the midline, 1 to 8"},
	{"tooth.kind", Text, "", "chart", "incisor, canine, premolar or molar"},
	{"tooth.stands", Flag, "", "chart", "the tooth can carry a part"},
	{"tooth.missing", Flag, "", "chart", "the tooth is missing"},
	{"tooth.replaced", Flag, "", "chart", "the tooth is to be replaced"},
	{"tooth.replace_decided", Flag, "", "chart", "it was decided whether the tooth is replaced"},
	{"tooth.abutment_decided", Flag, "", "chart", "it was decided whether the tooth is an abutment"},
	{"tooth.has_replacement", Flag, "", "design", "a base of the design carries the tooth"},
	{"tooth.mobility", Count, "grade", "chart", "mobility, grade 0 to 3"},
	{"tooth.tipping_Nmm", Number, "N·mm", "mechanics", "greatest moment that tips the tooth under a bite of 100 N on the denture"},
	{"tooth.bone_loss_percent", Number, "%", "chart", "bone lost along the root"},
	{"tooth.crown_root_ratio", Number, "", "chart", "length out of bone over length in bone"},
	{"tooth.tilt_deg", Number, "deg", "chart", "tilt from upright"},
	{"tooth.tilt_toward", Text, "", "chart", "where the tooth tilts to"},
	{"tooth.root_filled", Flag, "", "chart", "root-filled"},
	{"tooth.crown", Text, "", "chart", "crown: none, metal, ceramic or survey"},
	{"tooth.caries", Text, "", "chart", "caries: none, treated or active"},
	{"tooth.periodontal", Text, "", "chart", "periodontal state: healthy, treated or active"},
	{"tooth.prognosis", Text, "", "chart", "prognosis: good, doubtful or hopeless"},
	{"tooth.crown_height_mm", Number, "mm", "chart, placement", "height of the crown"},
	{"tooth.vestibule_mm", Number, "mm", "chart, survey", "vestibule depth at the tooth"},
	{"tooth.tissue_undercut_mm", Number, "mm", "chart, survey", "depth of the tissue undercut below the tooth"},
	{"tooth.tissue_undercut_start_mm", Number, "mm", "chart, survey", "where the tissue undercut begins, below the margin"},
	{"tooth.frenum_near", Flag, "", "chart", "a frenum is attached near the tooth"},
	{"tooth.opposing_room_mm", Number, "mm", "chart", "room to the opponent over the tooth"},
	{"tooth.beside_extension", Flag, "", "chart", "last tooth before an extension base"},
	{"tooth.pier", Flag, "", "chart", "a space on both sides of the tooth"},
	{"tooth.carries", Flag, "", "design", "carries a rest or a retainer"},
	{"tooth.carries_rest", Flag, "", "design", "carries a rest"},
	{"tooth.cast_clasp", Flag, "", "design", "carries a cast clasp"},
	{"tooth.retentive_arms", Count, "", "design", "number of retentive arms on the tooth"},
	{"tooth.double_arm_form", Flag, "", "design", "its clasp is of a form that may have two retentive arms"},
	{"tooth.rests_distal_only", Flag, "", "design", "its only rests are distal"},
	{"tooth.distal_rest_reason", Flag, "", "chart, design", "a reason for a distal rest is recorded"},
	{"tooth.only_short_mesial_rest", Flag, "", "design", "its only rest is a mesial one that is not extended"},
	{"tooth.loss_planned", Flag, "", "order, design", "an addition is planned for when the tooth is lost"},
	{"tooth.treatment_planned", Flag, "", "plan, order", "treatment is recorded before the tooth is prepared"},
	{"tooth.undercut_mesiofacial_mm", Number, "mm", "survey", "undercut on the mesiofacial"},
	{"tooth.undercut_distofacial_mm", Number, "mm", "survey", "undercut on the distofacial"},

	{"part.kind", Text, "", "design", "kind of the part"},
	{"part.missing_teeth", List, "", "chart, design", "teeth under the part that do not stand"},
	{"part.rigid", Flag, "", "design", "the part does not bend"},
	{"part.rigid_undercut_mm", Number, "mm", "placement", "deepest undercut under the part"},
	{"part.blocked_out", Flag, "", "placement, order", "undercut under the part is blocked out"},

	{"rest.form", Text, "", "design", "form of the rest"},
	{"rest.site", Text, "", "design", "where the rest lies"},
	{"rest.role", Text, "", "design", "primary, indirect or auxiliary"},
	{"rest.seat_planned", Flag, "", "plan", "the plan prepares a seat"},
	{"rest.seat_present", Flag, "", "chart", "a prepared seat is there"},
	{"rest.seat_material_known", Flag, "", "chart", "the material of the seat's floor is recorded"},
	{"rest.seat_leaves_enamel", Flag, "", "plan", "the seat goes deeper than the enamel"},
	{"rest.seat_width_mm", Number, "mm", "placement", "width of the seat"},
	{"rest.seat_length_mm", Number, "mm", "placement", "length of the seat"},
	{"rest.seat_depth_mm", Number, "mm", "placement", "depth of the seat at the marginal ridge"},
	{"rest.seat_width_share", Number, "", "placement", "width of the seat over the crown's"},
	{"rest.seat_length_share", Number, "", "placement", "length of the seat over the crown's mesiodistal width"},
	{"rest.floor_angle_deg", Number, "deg", "placement", "angle of seat floor and minor connector"},
	{"rest.metal_min_mm", Number, "mm", "placement", "thinnest metal of the rest"},
	{"rest.metal_ridge_mm", Number, "mm", "placement", "metal of the rest over the marginal ridge"},
	{"rest.room_mm", Number, "mm", "placement, chart", "room between seat and opponent"},
	{"rest.single_incisor", Flag, "", "design", "the rest stands on an incisor with no rest on the next"},

	{"retainer.form", Text, "", "design", "form of the retainer"},
	{"retainer.infrabulge", Flag, "", "design", "a bar clasp"},
	{"retainer.suprabulge", Flag, "", "design", "an arm from above"},
	{"retainer.cast", Flag, "", "design", "the retentive arm is cast or sintered metal"},
	{"retainer.cast_cocr", Flag, "", "design", "the retentive arm is cobalt-chromium"},
	{"retainer.wrought", Flag, "", "design", "the retentive arm is wire"},
	{"retainer.polymer", Flag, "", "design", "the retentive arm is a polymer"},
	{"retainer.has_tip", Flag, "", "design", "the retainer has a retentive tip"},
	{"retainer.site", Text, "", "design", "site of the undercut"},
	{"retainer.side", Text, "", "design", "side of the undercut: mesial, mid or distal"},
	{"retainer.site_facial", Flag, "", "design", "the undercut is on the facial"},
	{"retainer.site_at_origin", Flag, "", "design", "the undercut lies where the arm starts"},
	{"retainer.only_on_side", Flag, "", "design", "the only retainer with a tip on its side of the arch"},
	{"retainer.rests", Count, "", "design", "rests on the retainer's tooth"},
	{"retainer.rest_mesial", Flag, "", "design", "a mesial rest"},
	{"retainer.rest_distal", Flag, "", "design", "a distal rest"},
	{"retainer.embrasure_rests", Count, "", "design", "rests on the two teeth of an embrasure clasp"},
	{"retainer.reciprocated", Flag, "", "design", "a rigid part opposes the tip"},
	{"retainer.reciprocal_arm", Flag, "", "design", "the opposing part is an arm"},
	{"retainer.strut", Flag, "", "design", "a supporting strut"},
	{"retainer.encirclement_deg", Number, "deg", "design", "how far round the tooth the parts touch"},
	{"retainer.in_front_of_axis", Flag, "", "design", "the tip lies in front of the fulcrum line"},
	{"retainer.target_mm", Number, "mm", "design", "undercut that suits the arm's metal"},
	{"retainer.undercut_mm", Number, "mm", "design, survey, placement", "undercut the tip is to stand in"},
	{"retainer.undercut_to_be_made", Flag, "", "plan", "the plan makes the undercut"},
	{"retainer.tip_undercut_mm", Number, "mm", "placement, survey", "undercut found at the tip"},
	{"retainer.tip_vertical_mm", Number, "mm", "placement", "undercut at the tip against a vertical pull"},
	{"retainer.tip_margin_mm", Number, "mm", "placement, survey", "tip to gingival margin"},
	{"retainer.below_contour_share", Number, "", "placement", "share of the arm below the survey line"},
	{"retainer.arm_mm", Number, "mm", "placement", "length of the flexible arm"},
	{"retainer.taper", Number, "", "placement", "tip thickness over origin thickness"},
	{"retainer.origin_thickness_mm", Number, "mm", "placement", "thickness of the arm at its origin"},
	{"retainer.reciprocal_cover", Number, "", "placement", "share of the tip's travel that the rigid part guides"},
	{"retainer.reciprocal_height", Number, "", "placement", "height of the reciprocal arm over the crown's height"},
	{"retainer.reciprocal_taper", Number, "", "placement", "taper of the reciprocal arm"},
	{"retainer.reciprocal_thickness_mm", Number, "mm", "placement", "thickness of the reciprocal arm"},
	{"retainer.stress_ratio", Number, "", "mechanics", "peak stress over the proportional limit"},
	{"retainer.hold_N", Number, "N", "mechanics", "estimated force that pulls the retainer off"},
	{"retainer.may_go_mm", Number, "mm", "mechanics", "how far the tip may be bent before the proportional limit"},
	{"retainer.set_mm", Number, "mm", "mechanics", "what the tip keeps of its bend after the first time"},
	{"retainer.as_wire", Number, "", "mechanics", "peak stress over the proportional limit of a wire on the arm's way"},
	{"retainer.on_bite", Text, "", "mechanics", "what the tip does when the base is bitten on: eases, grips or stays"},
	{"retainer.foot_above_contour_mm", Number, "mm", "placement", "how far the foot reaches above the survey line"},
	{"retainer.approach_margin_mm", Number, "mm", "placement", "approach arm to gingival margin"},
	{"retainer.tip_distal", Flag, "", "design, placement", "the tip lies distal of the greatest bulge"},
	{"retainer.crossing_deg", Number, "deg", "placement", "angle at which the approach arm crosses the margin"},
	{"retainer.relief_mm", Number, "mm", "placement, order", "relief under the approach arm"},
	{"retainer.rigid_above_contour_mm", Number, "mm", "placement", "how far the arm's rigid part lies above the survey line"},
	{"retainer.opponent_mm", Number, "mm", "placement, chart", "arm to opponent"},
	{"retainer.head_gap_mm", Number, "mm", "placement", "gap between bar head and tooth"},
	{"retainer.finger_gap_mm", Number, "mm", "placement", "gap at the fingers of a T"},
	{"retainer.interference_mm", Number, "mm", "placement", "how far the seated arm would press into the tooth"},

	{"pair.undercut_difference_mm", Number, "mm", "design, survey, placement", "difference of the undercuts of two like clasps"},

	{"reading.site", Text, "", "survey", "site where the undercut was read by hand"},
	{"reading.by_hand_mm", Number, "mm", "survey", "undercut read by hand with a gauge"},
	{"reading.scan_mm", Number, "mm", "survey", "undercut that the scan shows at the same place"},
	{"reading.difference_mm", Number, "mm", "survey", "difference of the reading by hand and the scan's"},
	{"reading.uncertainty_mm", Number, "mm", "survey", "how far the two may differ though both are right"},

	{"plate.surface", Text, "", "design", "surface of the guide plate"},
	{"plate.beside", Text, "", "chart, design", "what the plate stands beside: extension, bounded or none"},
	{"plate.mesial_rest", Flag, "", "design", "the tooth has a mesial rest"},
	{"plate.seats_first", Flag, "", "design", "the plate is the rigid retainer of a rotational path and goes into its undercut"},
	{"plate.height_mm", Number, "mm", "placement", "height of the guide plane"},
	{"plate.width_of_crown", Number, "", "placement", "width of the guide plane over the crown's width"},
	{"plate.divergence_deg", Number, "deg", "placement", "angle of the surface to the path"},
	{"plate.above_contour_mm", Number, "mm", "placement", "how far the plate reaches above the survey line"},
	{"plate.tissue_extent_mm", Number, "mm", "placement", "how far the plate runs onto the gum below the margin"},
	{"plate.relief_mm", Number, "mm", "placement", "relief over the margin"},
	{"plate.thickness_mm", Number, "mm", "placement", "thickness of the plate"},

	{"base.support", Text, "", "design", "extension or bounded"},
	{"base.attachment", Text, "", "design", "lattice, mesh, beads or posts"},
	{"base.material", Text, "", "design", "resin or metal"},
	{"base.span", Count, "teeth", "design", "teeth the base replaces"},
	{"base.unrested", List, "", "chart, design", "fit teeth beside a bounded base without a rest"},
	{"base.unrested_unfit", List, "", "chart, design", "unfit teeth beside a bounded base without a rest"},
	{"base.stops", Count, "", "design", "number of tissue stops"},
	{"base.finish_internal", Flag, "", "design", "an internal finish line"},
	{"base.finish_external", Flag, "", "design", "an external finish line"},
	{"base.tissue_undercut_mm", Number, "mm", "chart, survey", "deepest tissue undercut under the base"},
	{"base.border_eased", Flag, "", "design", "the border is relieved or shortened over a tissue undercut"},
	{"base.extraction_months", Number, "months", "chart", "months since the latest extraction under the base"},
	{"base.space_mm", Number, "mm", "chart", "least room from ridge to opponent"},
	{"base.lattice_share", Number, "", "placement", "lattice length over ridge length"},
	{"base.lattice_to_pad_mm", Number, "mm", "placement", "end of the lattice in front of the pad or the tuberosity's end"},
	{"base.relief_mm", Number, "mm", "placement, order", "relief under the retention for resin"},
	{"base.relief_start_mm", Number, "mm", "placement, order", "where the relief begins behind the abutment"},
	{"base.finish_angle_deg", Number, "deg", "pattern", "angle of the external finish line"},
	{"base.finish_offset_mm", Number, "mm", "placement", "distance of the two finish lines"},
	{"base.pad_cover", Number, "", "placement", "share of the retromolar pad or tuberosity that the base covers"},
	{"base.steepest_deg", Number, "deg", "placement", "steepest rise of the ridge, away from the abutment, under an artificial tooth"},
	{"base.teeth_behind_lattice", Count, "", "placement", "artificial teeth behind the lattice"},

	{"connector.form", Text, "", "design", "form of the major connector"},
	{"connector.lower_bar", Flag, "", "design", "a lower bar clear of the teeth"},
	{"connector.lingual_bar", Flag, "", "design", "a lingual bar, alone or with a cingulum bar"},
	{"connector.ends_rested", Flag, "", "design", "a rest at each end of the connector"},
	{"connector.named_indirect", Flag, "", "design", "the connector is named as indirect retainer"},
	{"connector.step_back", Flag, "", "design", "the plate steps back at open spaces"},
	{"connector.plate_reason", Flag, "", "chart, design", "a reason for a plate is recorded"},
	{"connector.sealed", Flag, "", "design", "a full plate with a rear seal"},
	{"connector.most_teeth_a_side", Count, "", "design", "most teeth replaced on one side"},
	{"connector.front_of_second_premolar", Flag, "", "placement", "the bar lies in front of the second premolars"},
	{"connector.height_mm", Number, "mm", "design, placement", "height of the bar"},
	{"connector.thickness_mm", Number, "mm", "design, placement", "thickness"},
	{"connector.width_mm", Number, "mm", "design, placement", "width of the strap"},
	{"connector.opening_mm", Number, "mm", "placement", "opening of a ring from front to back"},
	{"connector.border_margin_mm", Number, "mm", "placement", "border to gingival margin"},
	{"connector.floor_mm", Number, "mm", "placement", "lower border above the movable floor"},
	{"connector.frenum_mm", Number, "mm", "placement", "lower border to the frenum"},
	{"connector.bulk_high", Flag, "", "placement", "the bar is not thickest below its middle"},
	{"connector.plate_height", Number, "", "placement", "upper border over the incisors' height"},
	{"connector.blocked_mm", Number, "mm", "placement", "deepest undercut filled under the connector"},
	{"connector.relief_mm", Number, "mm", "design, order", "relief under the connector"},
	{"connector.bead_mm", Number, "mm", "design, order", "bead of the border"},
	{"connector.on_rugae_crest", Flag, "", "placement", "the front border runs on a rugae crest"},
	{"connector.vibrating_mm", Number, "mm", "placement", "rear border in front of the vibrating line"},
	{"connector.crossing_least_deg", Number, "deg", "placement", "least angle at which it crosses the margin"},
	{"connector.gives_mm", Number, "mm", "mechanics", "how far its left side sinks under 5 N with the right held"},
	{"connector.twists_deg", Number, "deg", "mechanics", "how far it twists under the same load"},
	{"connector.crossing_most_deg", Number, "deg", "placement", "greatest angle at which it crosses the margin"},

	{"minor.nearest_mm", Number, "mm", "placement", "distance to the next minor connector"},
	{"minor.thickness_mm", Number, "mm", "placement", "thickness of the minor connector"},
	{"minor.on_convex", Flag, "", "placement", "lies on the convex lingual surface"},
	{"minor.joint_radius_mm", Number, "mm", "pattern", "inner radius at the major connector"},

	{"replacement.form", Text, "", "design", "kind of artificial tooth"},
	{"replacement.single_front", Flag, "", "design", "a single front tooth between standing teeth"},

	{"torus.place", Text, "", "chart", "lingual or palatal"},
	{"torus.operable", Flag, "", "chart", "the torus can be removed"},
	{"torus.crossed", Flag, "", "chart, design", "the connector crosses the torus"},
	{"torus.relief_mm", Number, "mm", "design, order", "relief over the torus"},

	{"preparation.operation", Text, "", "plan", "what is done"},
	{"preparation.material", Text, "", "plan", "what is cut or added"},
	{"preparation.removal_mm", Number, "mm", "plan", "depth taken away"},
	{"preparation.enamel_mm", Number, "mm", "plan", "thickness of the enamel there, a table's value"},
	{"preparation.enamel_left_mm", Number, "mm", "plan", "enamel left"},
	{"preparation.axial", Flag, "", "plan", "an upright surface is cut"},
	{"plan.items", Count, "", "plan", "number of preparations"},
	{"plan.seat_before_plane", List, "", "plan", "teeth whose seat is cut before their guide plane"},
	{"plan.impression_first", Flag, "", "order", "the final impression is dated before the last preparation"},
	{"plan.polish", Flag, "", "plan", "polishing is part of the plan"},
	{"plan.fluoride", Flag, "", "plan", "fluoride is part of the plan"},
	{"plan.crown_after_framework", Flag, "", "order", "a survey crown is dated after the framework"},
	{"plan.altered_cast_decided", Flag, "", "order", "altered cast or relining is decided"},

	{"order.lacks", List, "", "order", "what the order lacks"},
	{"order.vague", List, "", "order", "fields left to the technician"},
	{"order.recall", Flag, "", "order", "a recall is dated"},

	{"whole.sinking_mm", Number, "mm", "mechanics", "how far a base sinks under a bite of 100 N"},
	{"whole.indirect_N", Number, "N", "mechanics", "greatest force on the indirect retainers under a sticky pull of 8 N"},
	{"whole.pulls", Count, "", "mechanics", "sticky pulls of 8 N that were reckoned, one on each artificial tooth"},
	{"whole.pulls_lifting", Count, "", "mechanics", "how many of them the clasps alone do not hold"},
	{"whole.pull_held_N", Number, "N", "mechanics", "the least of a sticky pull that the clasps alone hold, 8 N where they hold all"},
	{"whole.retention_N", Number, "N", "mechanics", "estimated retention of the denture"},
	{"whole.indirect_ratio", Number, "", "design, placement", "indirect retainer's distance from the fulcrum line over the base's"},
	{"whole.bodies", Count, "", "placement", "separate bodies of the framework"},
	{"whole.margin_cover", Number, "", "placement", "share of the remaining teeth's margins that is covered"},
	{"whole.allergens", List, "", "chart, design", "elements of the chosen metals that the patient does not bear"},
	{"whole.blockout_in_undercut", Flag, "", "placement", "block-out fills a planned undercut"},
	{"whole.blockout_above_line", Flag, "", "placement", "block-out lies above the survey line"},
	{"whole.blockout_gap_mm", Number, "mm", "placement", "deepest undercut that is filled under rigid metal"},
	{"whole.blockout_ledges", Count, "", "placement", "ledges in the block-out, under retentive ends and rigid parts that seat first"},
	{"whole.blockout_shelves", Count, "", "placement", "shelves in the block-out, under rigid arms along the survey line"},

	{"returned.rest_gap_mm", Number, "mm", "return", "greatest gap at a rest of the returned framework"},
	{"returned.difference_mm", Number, "mm", "return", "greatest difference of the returned framework from the order"},
	{"returned.absent", List, "", "return", "stops and finish lines the returned framework lacks"},

	{"abutment.beside", Text, "", "chart", "what the tooth stands beside: extension, bounded or none"},
	{"abutment.kind", Text, "", "chart", "incisor, canine, premolar or molar"},
	{"abutment.undercut_known", Flag, "", "survey", "the tooth's undercuts are known"},
	{"abutment.undercut_mesial", Flag, "", "survey", "undercut enough on the mesiofacial"},
	{"abutment.undercut_mid", Flag, "", "survey", "undercut enough in the middle of the facial"},
	{"abutment.undercut_distal", Flag, "", "survey", "undercut enough on the distofacial"},
	{"abutment.undercut_near", Flag, "", "survey", "undercut enough on the facial beside the space"},
	{"abutment.undercut_far", Flag, "", "survey", "undercut enough on the facial away from the space"},
	{"abutment.undercut_facial", Flag, "", "survey", "undercut enough anywhere on the facial"},
	{"abutment.undercut_lingual", Flag, "", "survey", "undercut enough anywhere on the lingual"},
	{"abutment.undercut_mesiolingual", Flag, "", "survey", "undercut enough on the mesiolingual"},
	{"abutment.bar_room", Flag, "", "chart", "vestibule, tissue and frenum allow a bar, as far as known"},
	{"abutment.plate_first", Flag, "", "chart", "the plate would act before a mesial rest, or the rest has no room"},
	{"abutment.tilted", Flag, "", "chart", "tilted to mesial or lingual"},
	{"abutment.weak_pair", Flag, "", "chart", "the tooth and its neighbour are both weak"},
	{"abutment.pier_by_extension", Flag, "", "chart", "a lone-standing tooth beside an extension base"},
	{"abutment.rear_doubtful", Flag, "", "chart", "the rear abutment of the same bounded base may be lost"},
	{"abutment.pontic", Flag, "", "chart", "a pontic of a fixed bridge"},
	{"abutment.doubtful_rear", Flag, "", "chart", "the rear abutment of a bounded base, and it may be lost"},
	{"abutment.front_of_axis", Flag, "", "chart", "stands in front of the fulcrum line"},
	{"abutment.front_of_space", Flag, "", "chart", "the front abutment of a bounded space whose rear one stands on the same side"},
	{"abutment.smile", Flag, "", "chart", "shows in a high smile"},
	{"abutment.embrasure", Flag, "", "chart", "a neighbour touches that could share an embrasure clasp"},

	{"lower.floor_mm", Number, "mm", "chart", "least floor depth"},
	{"lower.frenum_high", Flag, "", "chart", "high lingual frenum"},
	{"lower.torus_stays", Flag, "", "chart", "a lingual torus that stays"},
	{"lower.lingual_tilt_extreme", Flag, "", "chart", "front teeth or premolars leaning far to the lingual"},
	{"lower.incisor_loss_expected", Flag, "", "chart", "an incisor may be lost"},
	{"lower.front_weak", Flag, "", "chart", "weak front teeth"},
	{"lower.front_tilted", Flag, "", "chart", "front teeth tilted or turned"},
	{"lower.diastema", Flag, "", "chart", "open spaces between the front teeth"},
	{"upper.torus_to_vibrating", Flag, "", "chart", "a torus that stays reaches the vibrating line"},
	{"upper.torus_stays", Flag, "", "chart", "a palatal torus that stays"},
	{"upper.gag", Flag, "", "chart", "gag reflex"},
	{"upper.last_abutment_place", Count, "", "chart", "place of the foremost last abutment"},
	{"upper.front_space", Flag, "", "chart", "a space among the front teeth"},
	{"upper.longest_extension", Count, "teeth", "chart", "teeth of the longest extension"},
	{"upper.longest_span", Count, "teeth", "chart", "teeth of the longest space"},
	{"upper.abutments_weak", Flag, "", "chart", "a terminal abutment is weak"},
}

// FactsText is the page that documents every fact, in Markdown; docs/facts.md holds the
// English. What the facts say is told in the reader's language, the frame round them in English.
func FactsText(l words.Lang) string {
	var b strings.Builder
	b.WriteString(`# Facts that rules may ask for

One line a fact. A fact that is not known is absent: a rule that needs it says *not checked*.
Facts of the groups case, design, patient, opposing, tissue, path, plan, order, whole and
returned are known everywhere; the others where a rule is asked *over* their thing. Limits
are asked for as ` + "`limit.` and their name, as in `limit.lb.minF`" + `. Numbers read off the cast
carry the scan's spread; a value within it of a limit is *borderline*. Facts from the
*pattern* belong to the framework as it is waxed or built; nothing measures them, and what
asks for them stays *not checked*.

| Fact | Type | Unit | From | What it says |
|---|---|---|---|---|
`)
	for _, f := range Known {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", f.Name, f.Type, f.Unit, f.From, FactLabel(f.Name).In(l))
	}
	b.WriteString("\n## What a rule may be asked over\n\n| Over | Groups known there besides |\n|---|---|\n")
	for _, o := range sortedKeys(overNames()) {
		groups := strings.Join(overs[Over(o)], ", ")
		if groups == "" {
			groups = "none"
		}
		fmt.Fprintf(&b, "| %s | %s |\n", o, groups)
	}
	return b.String()
}

func overNames() map[string]bool {
	m := map[string]bool{}
	for o := range overs {
		m[string(o)] = true
	}
	return m
}
