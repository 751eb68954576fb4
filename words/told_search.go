package words

var _ = tell(map[string]string{
	"It is the only tooth in front of the fulcrum line, by %v; a poor indirect retainer is better than none.": "Er ist der einzige Zahn vor der Kippachse, um %v; eine schlechte Kippmeiderauflage ist besser als keine.",
	"Let %v serve as an abutment, which the chart rules out.":                                                 "%v als Pfeilerzahn zulassen, was der Befund ausschließt.",
	"Treat %v until it can carry a rest (periodontal therapy, splint), if that can be done.":                  "%v behandeln, bis er eine Auflage tragen kann (Parodontaltherapie, Verblockung), wenn das möglich ist.",
	"An implant at %v: the base is then held at both ends.":                                                   "Ein Implantat bei %v: der Sattel ist dann an beiden Enden gehalten.",
	"Leave the space %v without replacement (shortened arch).":                                                "Die Lücke %v nicht ersetzen (verkürzte Zahnreihe).",
	"With one or two teeth that can carry, a complete denture over kept roots is the usual treatment.":        "Bei einem oder zwei tragfähigen Zähnen ist eine Totalprothese über belassenen Wurzeln die übliche Behandlung.",
})
