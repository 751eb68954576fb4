package cast

import "halfpear/tooth"

// Average is where a tooth stands in an average arch and how large it is, in mm. X is the
// distance from the midline and Y runs forward from the middle of the arch, to the middle
// of the crown; Facing is the way its facial surface looks, in degrees from straight
// ahead.
//
// Places are those of the mean of a statistical model of whole arches, third molars
// extended by us. Sizes are those of Nelson & Ash, Wheeler's Dental Anatomy, table 1-1;
// Clinical is the median height from margin to highest point on about twenty scanned
// arches of young people, third molars ours.
type Average struct {
	X, Y, FacingDeg float64
	Height          float64 // of the anatomical crown
	Clinical        float64 // of the crown that shows
	MD, MDCervix    float64
	FL              float64
}

var averages = map[tooth.Arch][8]Average{
	tooth.Upper: {
		{4.2, 20.2, 8, 10.5, 9.4, 8.5, 7.0, 7.0}, {11.0, 18.1, 28, 9.0, 7.4, 6.5, 5.0, 6.0},
		{16.0, 13.8, 55, 10.0, 8.8, 7.5, 5.5, 8.0}, {18.6, 7.1, 69, 8.5, 7.0, 7.0, 5.0, 9.0},
		{21.1, 0.6, 73, 8.5, 6.5, 7.0, 5.0, 9.0}, {23.3, -7.9, 75, 7.5, 7.3, 10.0, 8.0, 11.0},
		{26.0, -17.3, 74, 7.0, 7.4, 9.0, 7.0, 11.0}, {27.6, -26.2, 78, 6.5, 6.0, 8.5, 6.5, 10.0},
	},
	tooth.Lower: {
		{2.7, 21.0, 6, 9.0, 8.1, 5.0, 3.5, 6.0}, {7.8, 19.9, 21, 9.5, 8.4, 5.5, 4.0, 6.5},
		{12.4, 17.3, 41, 11.0, 9.1, 7.0, 5.5, 7.5}, {16.5, 12.2, 60, 8.5, 7.7, 7.0, 5.0, 7.5},
		{19.1, 5.6, 70, 8.0, 6.5, 7.0, 5.0, 8.0}, {21.9, -3.1, 73, 7.5, 6.3, 11.0, 9.0, 10.5},
		{24.9, -13.5, 74, 7.0, 7.0, 10.5, 8.0, 10.0}, {27.4, -23.6, 76, 7.0, 6.0, 10.0, 7.5, 9.5},
	},
}

// AverageOf is the average of a tooth's kind in its arch.
func AverageOf(n tooth.Number) Average { return averages[n.Arch()][n.Place()-1] }
