package picture

// Spanish gives the labels in workshop Spanish.
func Spanish() Labels {
	return Labels{
		Toe: "punta", Heel: "talón", Top: "cresta", Root: "raíz", Centre: "centro", Middle: "medio",
		Drive: "tracción", Coast: "retención",
		PlaceOf: "{along} {across}",
		CellOf:  "{place} (casilla {n})",

		Pattern:    "huella de contacto",
		Convention: "dos flancos: punta izq., talón der., cresta arriba",
		Reported:   "ahora, según lectura",
		Predicted:  "después, previsto",
		Target:     "meta",
		Now:        "ahora", After: "después",
		NotMarked:  "sin huella anotada",
		PinionMove: "piñón {move} ({way})", RingMove: "corona {move} ({way})",
		Deeper: "más adentro", Shallower: "más afuera",
		TowardsPinion: "hacia el piñón", FromPinion: "lejos del piñón",
		BacklashAfter:  "juego {value}",
		BacklashChange: "juego {before} → {value}",
		Interval:       " ({low} a {high})",

		Round:      "juego alrededor de la corona",
		Readings:   "{n} lecturas, en {unit}",
		ByTheClock: ", puntos como en el reloj", OClock: "las {place}",
		Inches: "pulgadas", Millimetres: "mm",
		Tightest: "más cerrado {value} en {place}", Widest: "más abierto {value} en {place}",
		Minimum: "mín {value}", Maximum: "máx {value}",
		Spread:       "dispersión {value}",
		SpreadInside: "dispersión {value}, dentro de su límite {limit}", SpreadOver: "dispersión {value}, pasa de su límite {limit}",
		RangeInside: "dentro de los límites {low} a {high}", RangeBelow: "debajo de los límites {low} a {high}",
		RangeAbove: "encima de los límites {low} a {high}", RangeBoth: "debajo y encima de los límites {low} a {high}",
		Wave: "onda de una vuelta ±{value}, más abierta hacia {place}",

		Choices:    "¿dónde está la huella?",
		ChoicesFor: "¿dónde está la huella de {flank}?",
		ChoiceHint: "escribe: {example}",
		Picked:     "elegido: {choice}",

		Stacks:   "paquetes de lainas",
		Stack:    "{name} {total}",
		NoLeaves: "sin laina",
		Was:      "era {value} ({change})", SameAs: "como antes",
		WantedOver: "se quería {value}: sobra {rest}", WantedUnder: "se quería {value}: falta {rest}",

		PictureOf:      "imagen: {title}",
		FlankReported:  "huella de {flank} ahora en {place}",
		FlankPredicted: "huella de {flank} prevista tras el cambio en {place}",
		FlankTarget:    "meta de {flank} alrededor de {place}",
		ToldAs:         "{place}, dicho como \"{words}\"",
		UncertainBy:    ", con margen de {along} % del ancho de cara y {across} % de la altura",
		AtPlace:        "{place}: {value}",
		CellIs:         "{n} = {place}",
		FactSeparator:  "; ",
	}
}
