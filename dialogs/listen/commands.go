package listen

import (
	"slices"
	"strings"
)

// The short words for a thumb on a phone. A command is the whole message, or
// opens it; "next please" is one, "next week" is not.

// wholeCommands are messages that are a command by themselves.
var wholeCommands = commandTable(map[Verb]string{
	VerbStatus:   `donde nos quedamos | en que nos quedamos | donde ibamos | que falta | que nos falta | which job is this | what job is this | which job are we on | status | where are we | where were we | where was i | where am i | recap | where we at | where are we at | whats the status | what is the status | status please | progress | where did we leave off | where did we get to | where have we got to | whats done | what have we got | what do we have so far | where do we stand | job status | catch me up | what have we got so far | where we up to | where are we up to | what is our status | donde vamos | so where are we | stat | where were we at | remind me where we are | what have i got so far | give me a recap | quick recap | recap please | que tenemos | en que vamos | estado | como vamos | donde quedamos | en que quedamos | donde estamos | que llevamos | que hemos hecho | como va el trabajo`,
	VerbNext:     `next | next step | whats next | what is next | what now | now what | what next | next please | next one | then what | ok next | go on | continue | carry on | what do i do next | what do i do now | whats the next step | what is the next step | keep going | and then | what should i do next | nxt | siguiente | y ahora | que sigue | now then what | ready for next | ready for the next step | ready whats next | what comes next | nextt | what is my next step | next thing | que sigue ahora | y ahora que | y ahora que sigue | que falta por hacer | ahora que | que hago ahora | que hago | que mas | que mas sigue | el siguiente | siguiente paso | que toca | que toca ahora | sigue | seguimos | continua | dale siguiente`,
	VerbUndo:     `undo | undo that | undo last | undo it | take that back | undo the last one | delete that | delete that last one | delete last | remove that last entry | remove the last entry | take back the last one | undo last entry | undo last reading | delete the last reading | remove the last reading | oops undo | undo pls | undo please | revert | revert that | roll that back | borra eso | deshacer | strike the last one | delete the last one | delete the last entry | remove last | scrub that | undo my last | take that last one back | cancel that | cancel last | kill that last entry | undo undo | undo the last entry | undo that last one | undo that last | borra lo ultimo | borra el ultimo | quita lo ultimo | quita el ultimo | deshaz | deshacer lo ultimo | deshaz lo ultimo | borralo | borra la ultima | borra la ultima lectura | cancela lo ultimo | anula lo ultimo | regresa lo ultimo`,
	VerbWhy:      `why more | why all | why all of it | why everything | why in full | more why | the whole why | por que mas | por que todo | explain that like im five | explain it | explain that again | why | why is that | how come | show me why | explain | show the math | show the maths | show your work | why tho | why though | reason | whats the reason | explain that | explain why | por que | why that much | why so much | but why | how did you get that | how do you get that | how do you figure | how do you work that out | why is it | show working | show your working | where does that come from | says who | y por que | pero por que | por que eso | por que tanto | de donde sale | de donde sale eso | explica | explicame | como lo calculaste | muestrame la cuenta`,
	VerbSummary:  `export the report | print the report | print the sheet | print the job sheet | send the report | export the job | export the summary | show me everything so far | show me everything | can you show me everything so far | can you show me everything | show me the job | show the job | summary | summary pdf | pdf | pdf please | sheet | the sheet | the pdf | sheet pdf | csv | json | summary csv | summary json | export csv | export json | hoja | la hoja | imprime la hoja | imprimir la hoja | job summary | report | job sheet | sheet please | print | summary please | give me the summary | send the summary | export | full report | job report | summarize | summarise | give me a summary | resumen | sum it up | send summary | print it | show me the summary | printout | resumen por favor | el resumen | dame el resumen | manda el resumen | reporte | el reporte | imprimir | imprime | imprime el resumen | informe`,
	VerbClose:    `close job | close the job | close it out | finish job | job done | close this job | end job | finish the job | job finished | job complete | close out the job | close out | mark job done | close job please | wrap up the job | mark the job done | thats the job done | close this one out | cerrar trabajo | cerrar el trabajo | cierra el trabajo | cierra trabajo | terminar el trabajo | trabajo terminado`,
	VerbReviews:  `reviews | my reviews | open reviews | open looks | the reviews | show reviews | list reviews | review queue | my queue | what is waiting for me | whats waiting for me | what is waiting | whats waiting | anything waiting for me | anything waiting | waiting for me | what do i have to look at | what needs a look | what needs my look | revisiones | que me espera | que hay por revisar | mis revisiones | revisiones pendientes`,
	VerbCard:     `card | the card | show card | show the card | show me the card | look card | show the look | show me the look | review card | tarjeta | la tarjeta | ver la tarjeta | muestra la tarjeta | muestrame la tarjeta | muestra el vistazo | muestrame el vistazo`,
	VerbJobs:     `list the open jobs | list the jobs | show me the jobs | jobs | list jobs | open jobs | show jobs | which jobs | my jobs | all jobs | what jobs are open | show open jobs | which jobs are open | list open jobs | whats open | trabajos | trabajos abiertos | los trabajos | que trabajos hay | mis trabajos`,
	VerbSheets:   `sheets | list sheets | axle sheets | show sheets | which sheets | what sheets | which axles | list axles | show me the sheets | what sheets do you have | what sheets have you got | which sheets do you have | which sheets are there | what axles do you know | fichas | las fichas | que fichas hay | que ejes hay | lista de fichas`,
	VerbLog:      `log | show log | show the log | history | who changed what | job log | show history | show me the log | the log | full log | audit | who entered what | show the history | show job log | log please | show me the history | historial | bitacora | registro | el historial`,
	VerbHelp:     `help | commands | what can you do | help me | help please | how do i use this | ? | what can i say | menu | how does this work | usage | ayuda | instructions | what can i type | help pls | list commands | que puedo escribir | que sabes hacer | comandos | ayudame | como funciona | como funciona esto`,
	VerbYes:      `yes | y | yep | yeah | yup | yes please | sure | ok | okay | k | affirmative | correct | thats right | that is right | thats correct | that is correct | right | thumbsup | go ahead | do it | confirmed | confirm | si | aye | yes sir | you got it | ya | uh huh | exactly | spot on | yes it is | yes i did | yes they are | yes they do | indeed | roger | 10 4 | copy | yessir | thumbsup thumbsup | ok thumbsup | yes correct | yes thats right | yep thats right | yep correct | yeah correct | ye | yea | too right | yes mate | sounds right | ok yes | yes ok | asi es | claro | correcto | de acuerdo | dale | exacto | si claro | eso es | afirmativo | si senor`,
	VerbNo:       `no | n | nope | nah | negative | no thanks | not yet | wrong | thats wrong | that is wrong | incorrect | thumbsdown | not right | no sir | nah mate | no it isnt | no they dont | no they arent | nein | thats not right | that is not right | not correct | no way | no its not | no i didnt | nop | todavia no | aun no | para nada | negativo | no es asi | nel | no gracias | incorrecto`,
	VerbDone:     `done | built it | its built | done that | all done | finished | built | did it | ok done | done it | done and torqued | changed it | made the change | shims are in | done boss | its done | it is done | thats done | that is done | built it up | ok built | listo | hecho | done done | built and torqued | all built | ok its built | swapped it | swapped them | shims changed | change made | change done | move done | its in | back together | its back together | all back together | buttoned back up | did that | done as you said | made the move | done thumbsup | did what you said | built and ready | built like you said | built as recommended | ya esta | ya quedo | listo ya quedo | ya esta puesto | ya esta puesta | ya estan puestas | ya lo hice | ya quedo armado | ya esta armado | terminado | ya termine | armado | hecho y apretado | ya lo cambie | cambio hecho | ya esta listo | puesto | ya quedo listo | quedo listo | ya esta hecho`,
	VerbSkip:     `skip | skip it | skip this | skip that | skip this one | skip this step | skip step | pass | skip that one | skip that step | skip for now | skip pls | saltar | saltalo | saltar esto | saltar este paso | salta | salta este | omitir | pasa de este`,
	VerbReplies:  `short replies | short answers | keep it short | replies short | short please | long replies | full replies | full answers | long answers | replies full | replies long | respuestas cortas | respuestas completas`,
	VerbType:     `large type | big type | larger type | bigger type | large text | big text | larger text | bigger text | large print | large letters | big letters | large font | big font | bigger letters | bigger font | type large | text large | normal type | normal text | normal letters | normal font | small type | small text | type normal | text normal | letra grande | letras grandes | letra mas grande | letras mas grandes | texto grande | texto mas grande | letra normal | letras normales | texto normal`,
	VerbCalled:   `no private cards | private cards off | private cards no | stop the private cards | no more private cards | cards in the thread only | private cards | private cards on | private cards please | private cards yes | sin tarjetas privadas | no mas tarjetas privadas | tarjetas privadas | tarjetas privadas no | tarjetas privadas si`,
	VerbLanguage: `language | idioma | language spanish | language es | language espanol | idioma espanol | en espanol | en espanol por favor | habla espanol | hablame en espanol | responde en espanol | spanish please | speak spanish | answer in spanish | in spanish | in spanish please | use spanish | language english | language en | idioma ingles | en ingles | habla ingles | responde en ingles | english please | speak english | answer in english | in english | in english please | use english | switch to spanish | switch to english`,
	VerbUnits:    `metric | inch | inches | imperial | switch to metric | switch to inch | switch to inches | use metric | use inches | use inch | units metric | units inch | metric please | inches please | work in metric | work in inches | set units metric | set units inch | im metric | im in metric | show metric | show me metric | go metric | change to metric | change to inch | in mm please | use mm | units | change units | units mm | units thou | units inches | units imperial | metric units | inch units | use imperial | in millimetres please | metrico | en milimetros | en pulgadas | usa milimetros | usa pulgadas | pulgadas | milimetros | unidades`,
	VerbPicture:  `picture | pictures | show picture | show the picture | show me the picture | show me a picture | a picture | picture please | draw it | draw it for me | draw me a picture | drawing | sketch | show me the drawing | show me the sketch | what does it look like | what does that look like | picture of the step | picture of this step | imagen | la imagen | dibujo | el dibujo | un dibujo | muestrame el dibujo | muestrame la imagen | dibujalo | como se ve`,
	VerbLabels:   `labels | label list | shim labels | bench labels | what goes where | which shim goes where | where does every shim go | where do the shims go | what shim goes where | show labels | show me the labels | print labels | label the shims | label the stacks | where does what go | etiquetas | que va donde | las etiquetas | que laina va donde | donde va cada laina`,
	VerbParts:    `parts | parts list | part list | parts needed | what parts do i need | what parts do we need | which parts do i need | what do i need to order | what do i order | what needs ordering | what do we need to order | shopping list | what to order | parts to order | list the parts | what parts | piezas | que piezas necesito | lista de piezas | que piezas pido | que hay que pedir | refacciones | que refacciones necesito`,
	VerbTools:    `tools | tool list | the tool list | the tools list | whats the tool list | what is the tool list | what are the tools | the tools | show me the tool list | show the tool list | show the tools | give me the tool list | list the tools | list of tools | lista de herramientas | la lista de herramientas | cual es la lista de herramientas | dame la lista de herramientas | que herramientas | las herramientas | tools list | what tools do i need | which tools do i need | what do i need to start | checklist | start checklist | pre start checklist | prestart checklist | pre start | what do i need before i start | what should i have ready | bench list | herramientas | que herramientas necesito | la herramienta | que herramienta necesito`,
	VerbTorques:  `torques | torque list | torque sheet | fasteners | fastener list | bolt list | show torques | show me the torques | what is signed | whats signed | what is signed off | sign off list | signoffs | sign offs | whats left to torque | what is left to torque | pares | lista de torques | lista de pares | aprietes`,
	VerbDamage:   `damage | damage list | damages | what was damaged | what was broken | what did we find | show damage | list damage | what was found | danos | danado | que estaba danado | lista de danos`,
	VerbReopen:   `reopen | reopen that | reopen step | reopen it | reopen the job | reopen job | open it back up | reabrir | reabre el trabajo | reabrir el trabajo`,
})

// leadCommands open a message; what follows is their rest.
var leadCommands = []struct {
	verb  Verb
	words []string
	next  func(words []string) bool // nil: anything may follow
}{
	{VerbOpen, []string{"open"}, opensJob},
	{VerbOpen, []string{"new", "job"}, nil},
	{VerbOpen, []string{"start", "a", "job"}, nil},
	{VerbOpen, []string{"start", "job"}, nil},
	{VerbOpen, []string{"start", "new", "job"}, nil},
	{VerbOpen, []string{"start", "a", "new", "job"}, nil},
	{VerbOpen, []string{"begin", "job"}, nil},
	{VerbOpen, []string{"open", "a", "job"}, nil},
	{VerbOpen, []string{"open", "job"}, nil},
	{VerbOpen, []string{"open", "a", "new", "job"}, nil},
	{VerbOpen, []string{"open", "new", "job"}, nil},
	{VerbOpen, []string{"starting", "a", "new", "job"}, nil},
	{VerbOpen, []string{"starting", "a", "job"}, nil},
	{VerbOpen, []string{"starting", "new", "job"}, nil},
	{VerbOpen, []string{"abrir", "trabajo"}, nil},
	{VerbOpen, []string{"abre", "trabajo"}, nil},
	{VerbOpen, []string{"nuevo", "trabajo"}, nil},
	{VerbOpen, []string{"trabajo", "nuevo"}, nil},
	{VerbOpen, []string{"abrir"}, abreTrabajo},
	{VerbOpen, []string{"abre"}, abreTrabajo},
	{VerbSkip, []string{"skip"}, nil},
	{VerbSkip, []string{"salta", "esto"}, nil},
	{VerbSkip, []string{"salta", "este"}, nil},
	{VerbSkip, []string{"saltar"}, nil},
	{VerbSkip, []string{"omitir"}, nil},
	{VerbSkip, []string{"salta"}, saltaPaso},
	{VerbOverride, []string{"anular", "alto"}, nil},
	{VerbOverride, []string{"sigo", "con", "motivo"}, nil},
	{VerbOverride, []string{"sigue", "con", "motivo"}, nil},
	{VerbOverride, []string{"seguir", "con", "motivo"}, nil},
	{VerbOverride, []string{"seguimos", "con", "motivo"}, nil},
	{VerbClose, []string{"cerrar", "el", "trabajo"}, nil},
	{VerbClose, []string{"cerrar", "trabajo"}, nil},
	{VerbClose, []string{"cierra", "el", "trabajo"}, nil},
	{VerbReopen, []string{"reabre"}, reopensStep},
	{VerbReopen, []string{"reabrir"}, nil},
	{VerbReopen, []string{"volver", "al", "paso"}, nil},
	{VerbSwitch, []string{"cambiar", "al", "trabajo"}, nil},
	{VerbSwitch, []string{"cambiar", "a", "trabajo"}, nil},
	{VerbSwitch, []string{"pasa", "al", "trabajo"}, startsNumberWord},
	{VerbSwitch, []string{"pasa", "al"}, startsNumberWord},
	{VerbSwitch, []string{"pasar", "al"}, startsNumberWord},
	{VerbSwitch, []string{"cambia", "al", "trabajo"}, startsNumberWord},
	{VerbSwitch, []string{"cambia", "al"}, startsNumberWord},
	{VerbSwitch, []string{"trabajo"}, startsNumberWord},
	{VerbUnits, []string{"unidades"}, nil},
	{VerbLog, []string{"log"}, wholeOfIt},
	{VerbLog, []string{"historial"}, wholeOfIt},
	{VerbLog, []string{"registro"}, wholeOfIt},
	{VerbGlossary, []string{"que", "significa"}, noFigure},
	{VerbGlossary, []string{"que", "quiere", "decir"}, noFigure},
	{VerbGlossary, []string{"que", "es"}, explainedWord},
	{VerbGlossary, []string{"que", "son"}, explainedWord},
	{VerbSkip, []string{"skipping"}, skipsStep},
	{VerbOverride, []string{"override"}, nil},
	{VerbOverride, []string{"overriding"}, nil},
	{VerbOverride, []string{"over", "ride"}, nil},
	{VerbReopen, []string{"reopen"}, nil},
	{VerbReopen, []string{"re", "open"}, nil},
	{VerbReopen, []string{"go", "back", "to", "step"}, nil},
	{VerbReopen, []string{"back", "to", "step"}, nil},
	{VerbSwitch, []string{"switch", "to", "job"}, nil},
	{VerbSwitch, []string{"switch", "job"}, nil},
	{VerbSwitch, []string{"change", "to", "job"}, nil},
	{VerbSwitch, []string{"go", "to", "job"}, nil},
	{VerbSwitch, []string{"use", "job"}, nil},
	{VerbSwitch, []string{"job"}, startsNumberWord},
	{VerbSwitch, []string{"switch", "to", "the"}, nil},
	{VerbSwitch, []string{"switch", "to"}, startsNumberWord},
	{VerbSwitch, []string{"switch"}, startsNumberWord},
	{VerbUnits, []string{"units"}, nil},
	{VerbHelp, []string{"help", "with"}, nil},
	{VerbUndo, []string{"undo"}, nil},
	{VerbClose, []string{"close", "the", "job"}, nil},
	{VerbClose, []string{"close", "job"}, nil},
	{VerbSummary, []string{"send", "me", "the", "summary"}, nil},
	{VerbSummary, []string{"send", "the", "summary"}, nil},
	{VerbSummary, []string{"print", "the"}, printsSheet},
	{VerbSummary, []string{"summary", "for"}, nil},
	{VerbTeach, []string{"teach"}, teaches},
	{VerbGlossary, []string{"define"}, nil},
	{VerbGlossary, []string{"glossary"}, nil},
	{VerbGlossary, []string{"meaning", "of"}, nil},
	{VerbGlossary, []string{"words"}, nil},
}

func opensJob(words []string) bool {
	if len(words) == 0 {
		return false
	}
	switch words[0] {
	case "it", "the", "up", "that", "this", "a", "them", "wide", "her", "him", "back", "all", "lash", "backlash", "cover", "diff", "bay", "tomorrow", "late", "at", "until", "till", "and", "ended", "question", "jobs", "with", "now", "again", "more", "#", "by", "some", "for", "on", "in", "my", "is", "about":
		return false
	}
	return true
}

// abreTrabajo: "abrir lapwing", and not "abre la tapa".
func abreTrabajo(words []string) bool {
	return len(words) > 0 && !slices.Contains([]string{"el", "la", "los", "las", "un", "una", "lo", "otra", "otro", "bien", "todo"}, words[0])
}

// saltaPaso: "salta, no hay reloj", and not "salta una muesca".
func saltaPaso(words []string) bool {
	return len(words) > 0 && !slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains([]string{"muesca", "muescas", "diente", "dientes"}, w)
	})
}

func noFigure(words []string) bool {
	return len(words) > 0 && len(words) <= 4 && !strings.ContainsAny(strings.Join(words, ""), "0123456789+")
}

// explained are the words of the glossary in Spanish, as far as one is asked for by
// "qué es" alone: what else is asked so wants a figure or an answer.
var explained = wordSet("punta talon cresta raiz traccion retencion juego juego_entre_dientes diferencia precarga profundidad distancia_de_montaje distancia_de_control rodamiento_de_prueba rodamientos_de_prueba casquillo casquillo_deformable portacorona tapa tapas milesima milesimas centesima centesimas hoja hojas laina lainas paquete muesca muescas ajustador alabeo arrastre asentamiento rodaje")

// explainedWord: "qué es la punta", and not "qué es lo que falta".
func explainedWord(words []string) bool {
	if len(words) > 1 && slices.Contains([]string{"el", "la", "los", "las", "un", "una", "lo", "eso", "esa"}, words[0]) {
		words = words[1:]
	}
	return explained[strings.Join(words, "_")]
}

// reopensStep: "reabre 8", "reabre el paso 8".
func reopensStep(words []string) bool {
	return len(words) > 0 && isDigit(words[len(words)-1][0])
}

// wholeOfIt: "log all", "historial todo".
func wholeOfIt(words []string) bool {
	return len(words) == 1 && (words[0] == "all" || words[0] == "todo")
}

// teaches: "teach on", "teach ben off", "teach mode on please".
func teaches(words []string) bool {
	return len(words) <= 4 && (slices.Contains(words, "on") || slices.Contains(words, "off"))
}

func skipsStep(words []string) bool {
	return len(words) > 0 && words[0] != "the" && words[0] != "pattern" && words[0] != "lunch" && words[0] != "a" && words[0] != "work"
}
func startsNumberWord(words []string) bool {
	return len(words) >= 1 && len(words) <= 2 && isDigit(words[0][0])
}

func printsSheet(words []string) bool {
	return len(words) > 0 && (words[0] == "sheet" || words[0] == "summary" || words[0] == "report" || words[0] == "job")
}

func commandTable(m map[Verb]string) map[string]Verb {
	out := make(map[string]Verb)
	for v, forms := range m {
		for f := range strings.SplitSeq(forms, "|") {
			out[strings.TrimSpace(f)] = v
		}
	}
	return out
}

var politeness = wordSet("please pls plz thanks thx cheers mate boss bot @bot hey hi ok okay bro man ta buddy now so well alright right yo assistant shimwright just um uh then and por favor porfa gracias jefe oye pues bueno hola")

// AboutJobs says whether a command is about jobs, or about who says it, and not in the
// job at hand: the same wherever it is said.
func (v Verb) AboutJobs() bool {
	switch v {
	case VerbOpen, VerbSwitch, VerbJobs, VerbSheets, VerbUnits, VerbLanguage, VerbReplies, VerbType, VerbCalled, VerbReviews:
		return true
	}
	return false
}

// VerbOf gives the command a text begins with or is, empty where it is none. It is
// what Parse looks for first, without the rest of Parse: an utterance of the text has
// this command or, where the text is an answer or made to steer, none.
func VerbOf(text string) Verb {
	plain, _, _ := normalise(text)
	if strings.TrimSpace(plain) == "" {
		return ""
	}
	c := findCommand(strings.TrimSpace(strings.ToValidUTF8(text, " ")), scan(plain))
	if c == nil {
		return ""
	}
	return c.Verb
}

// findCommand finds an order to the assistant. plain is the normalised text, raw
// the text as typed, tokens what was scanned of it (not mended).
func findCommand(raw string, tokens []token) *Command {
	var words []string
	var starts []int
	for _, t := range tokens {
		if t.kind == newline {
			break
		}
		if t.kind == mark && (t.text == "!" || t.text == "." || t.text == "," || t.text == "?" || t.text == "¿" || t.text == "¡" || t.text == "'" || t.text == "/" && len(words) == 0) {
			continue
		}
		words = append(words, t.text)
		starts = append(starts, t.a)
	}
	if len(tokens) > 0 && len(words) == 0 && tokens[0].text == "?" {
		return &Command{Verb: VerbHelp}
	}
	for len(words) > 0 && politeness[words[0]] && !(len(words) == 1) {
		if _, ok := wholeCommands[strings.Join(words, " ")]; ok {
			break
		}
		words, starts = words[1:], starts[1:]
	}
	trimmed := words
	for len(trimmed) > 1 && politeness[trimmed[len(trimmed)-1]] {
		if _, ok := wholeCommands[strings.Join(trimmed, " ")]; ok {
			break
		}
		trimmed = trimmed[:len(trimmed)-1]
	}
	if len(trimmed) <= 8 {
		joined := strings.Join(trimmed, " ")
		joined = strings.ReplaceAll(joined, " 's", "s")
		if v, ok := wholeCommands[joined]; ok {
			rest := ""
			switch v {
			case VerbUnits:
				rest = unitsNamed(joined)
			case VerbLanguage:
				rest = languageNamed(joined)
			case VerbType:
				rest = "large"
				if strings.Contains(joined, "normal") || strings.Contains(joined, "small") {
					rest = "normal"
				}
			case VerbWhy:
				rest = moreOf(joined)
			case VerbCalled:
				rest = "private"
				if strings.HasPrefix(joined, "no ") || strings.HasPrefix(joined, "sin ") || strings.HasPrefix(joined, "stop") || strings.HasSuffix(joined, " off") || strings.HasSuffix(joined, " no") || strings.HasSuffix(joined, "only") {
					rest = "thread"
				}
			case VerbReplies:
				rest = "full"
				if strings.Contains(joined, "short") || strings.Contains(joined, "cortas") {
					rest = "short"
				}
			}
			return &Command{Verb: v, Rest: rest}
		}
	}
	for _, lc := range leadCommands {
		n := len(lc.words)
		if len(words) < n {
			continue
		}
		ok := true
		for i, w := range lc.words {
			ok = ok && words[i] == w
		}
		if !ok || lc.next != nil && !lc.next(words[n:]) {
			continue
		}
		if lc.words[0] == "job" && strings.Contains(strings.TrimSpace(raw), "\n") {
			continue // the head of a job card
		}
		rest := ""
		if len(words) > n {
			rest = restOf(raw, lc.words)
		}
		switch lc.verb {
		case VerbUnits:
			rest = unitsNamed(strings.Join(words, " "))
		case VerbLanguage:
			rest = languageNamed(strings.Join(words, " "))
		}
		return &Command{Verb: lc.verb, Rest: rest}
	}
	return nil
}

// moreOf gives "more" where a why asks for the whole computation.
func moreOf(joined string) string {
	for _, w := range strings.Fields(joined) {
		if slices.Contains([]string{"more", "all", "everything", "full", "whole", "math", "maths", "working", "mas", "todo", "cuenta"}, w) {
			return "more"
		}
	}
	return ""
}

// languageNamed gives the code of the language a command names.
func languageNamed(s string) string {
	switch {
	case strings.Contains(s, "span"), strings.Contains(s, "esp"), strings.HasSuffix(s, " es"):
		return "es"
	case strings.Contains(s, "engl"), strings.Contains(s, "ingl"), strings.HasSuffix(s, " en"):
		return "en"
	}
	return ""
}

func unitsNamed(s string) string {
	switch {
	case strings.Contains(s, "metric"), strings.Contains(s, "mm"), strings.Contains(s, "millim"), strings.Contains(s, "milim"):
		return "metric"
	case strings.Contains(s, "inch"), strings.Contains(s, "imperial"), strings.Contains(s, "thou"), strings.Contains(s, "pulgad"):
		return "inch"
	}
	return ""
}

// restOf gives what follows the words of a command in the text as typed.
func restOf(raw string, words []string) string {
	rest := strings.TrimSpace(raw)
	low := strings.ToLower(rest)
	last := words[len(words)-1]
	i := strings.Index(low, words[0])
	if i < 0 && stripAccents(low) != low { // "¿qué significa alabeo?"
		fields := strings.Fields(rest)
		return strings.Trim(strings.Join(fields[min(len(words), len(fields)):], " "), " ?!.¿¡:,-")
	}
	if i < 0 || len(low) != len(rest) {
		return ""
	}
	k := strings.Index(low[i:], last)
	if k < 0 {
		return ""
	}
	rest = rest[i+k+len(last):]
	if nl := strings.IndexByte(rest, '\n'); nl >= 0 {
		rest = rest[:nl]
	}
	if len(rest) > 400 {
		rest = rest[:400]
	}
	return strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(rest), ":,-"))
}
