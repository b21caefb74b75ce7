package dialogs_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"shimwright/dialogs"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// told is a command a Spanish text names, as it stands there, what is typed then, and
// what has to be understood: a verb, a decision, "back" for a question passed on,
// "figures" for a reading, "question" for one that is answered here, or "step" where
// only the step at hand understands it, which the tests of that step hold.
type told struct{ key, named, typed, want string }

// toldInSpanish is every text that tells somebody what to type. Common practice, no
// source.
var toldInSpanish = []told{
	{"review.card_answers", "aprobado {n}", "aprobado 2", "approve 2"},
	{"review.card_answers", "repite {n} y qué", "repite 2 el juego", "redo 2"},
	{"review.card_answers", "pregunta y qué", "pregunta con qué llave", "back"},
	{"review.card_answers", "espera", "espera", "hold"},
	{"review.card_answers", "lo hago yo", "lo hago yo", "takeover"},
	{"review.press_approve", "aprobado {n}", "aprobado 2", "approve 2"},
	{"review.press_again", "repite {n}", "repite 2", "redo 2"},
	{"review.press_hold", "espera", "espera", "hold"},
	{"review.which_look", "aprobado {n}", "aprobado 2", "approve 2"},
	{"review.private_which", "trabajo {job} aprobado {n}", "trabajo 3 aprobado 2", "private 3 2"},
	{"review.handed_back", "sigue tú", "sigue tú", "handback"},
	{"review.queue_how", "pasa al", "pasa al 2", "switch"},
	{"review.queue_how", "tarjeta", "tarjeta", "card"},
	{"review.called_private", "sin tarjetas privadas", "sin tarjetas privadas", "called"},
	{"review.called_thread", "tarjetas privadas", "tarjetas privadas", "called"},
	{"relay.away", "pasa al {n}", "pasa al 2", "switch"},
	{"ask.look_condition", "apruebo", "apruebo", "approve"},
	{"ask.look_condition", "repite y qué", "repite la huella", "redo"},
	{"ask.look_condition", "espera", "espera", "hold"},
	{"ask.look_no", "espera", "espera", "hold"},
	{"ask.look_unclear", "apruebo", "apruebo", "approve"},
	{"ask.look_unclear", "repite y qué", "repite el arrastre", "redo"},
	{"ask.look_unclear", "espera", "espera", "hold"},
	{"talk.skip_why", "saltar y el motivo", "saltar lo midió ann", "skip"},
	{"talk.left_open", "saltar {n} y por qué", "saltar 2 llegó desarmado", "skip"},
	{"talk.do_or_skip", "sí", "sí", "yes"},
	{"talk.do_or_skip", "salta con el motivo", "salta: lo midió ann", "skip"},
	{"talk.override_why", "sigo con motivo y cuál", "sigo con motivo: juego usado", "override"},
	{"talk.override_to_go_on", "sigo con motivo y cuál", "sigo con motivo el cliente espera", "override"},
	{"talk.override_before_closing", "sigo con motivo y cuál", "sigo con motivo, lo cierra otro", "override"},
	{"talk.override_and_why", "sigo con motivo, y cuál", "sigo con motivo ya lo medí", "override"},
	{"talk.still_open", "cerrar trabajo y por qué", "cerrar trabajo no vino el cliente", "close"},
	{"talk.for_the_shop", "estado", "estado", "status"},
	{"talk.not_skipped_built", "hecho", "hecho", "done"},
	{"talk.to_do", "hecho", "hecho", "done"},
	{"talk.of_another_how", "trabajos", "trabajos", "jobs"},
	{"talk.earlier", "historial todo", "historial todo", "log"},
	{"talk.why_more", "por qué más", "por qué más", "why"},
	{"breakin.start_ask", "empieza el asentamiento", "empieza el asentamiento", "step"},
	{"breakin.ready_ask", "salgo", "salgo", "step"},
	{"breakin.paused_ask", "seguimos", "seguimos", "step"},
	{"breakin.paused_long", "luego", "luego", "step"},
	{"breakin.hold_ask", "seguimos", "seguimos", "step"},
	{"breakin.hold_ask", "sigo con motivo y cuál", "sigo con motivo ya se enfrió", "override"},
	{"breakin.only_mentor", "sigo con motivo y cuál", "sigo con motivo ya se enfrió", "override"},
	{"breakin.oil_ask", "aceite cambiado", "aceite cambiado", "step"},
	{"breakin.oil_by_date", "aceite cambiado", "aceite cambiado", "step"},
	{"breakin.oil_yet", "aceite cambiado", "aceite cambiado", "step"},
	{"breakin.oil_now", "aceite cambiado", "aceite cambiado", "step"},
	{"breakin.unsure", "16 km", "16 km", "step"},
	{"breakin.all_done", "cerrar trabajo", "cerrar trabajo", "close"},
	{"bench.ready", "herramientas", "herramientas", "tools"},
	{"door.switch_which", "trabajo y su número", "trabajo 2", "switch"},
	{"door.which_units", "en pulgadas", "en pulgadas", "units"},
	{"door.which_units", "métrico", "métrico", "units"},
	{"door.open_one", "abrir {sheet} y de qué se trata", "abrir lapwing zumba", "open"},
	{"door.nothing_logged_open", "abrir {sheet}", "abrir lapwing", "open"},
	{"door.which_axle", "abrir, la ficha, y de qué se trata", "abrir lapwing zumba", "open"},
	{"fasteners.not_yet", "sí", "sí", "yes"},
	{"fasteners.extension", "tapas apretadas a 65 con alargue de 3 in en llave de 18 in", "tapas apretadas a 65 con alargue de 3 in en llave de 18 in", "step"},
	{"fault.no_answer", "estado", "estado", "status"},
	{"finding.not_for_customers", "hoja", "hoja", "summary"},
	{"finding.erase_sure", "{order}", "", "step"},
	{"summary.how_to_print", "hoja", "hoja", "summary"},
	{"job.which_language", "idioma español", "idioma español", "language"},
	{"job.which_language", "idioma inglés", "idioma inglés", "language"},
	{"steps.start_shim_done", "listo", "listo", "done"},
	{"steps.build_it", "listo", "listo", "done"},
	{"steps.as_old", "igual", "igual", "step"},
	{"steps.fastener_ask", "sí", "sí", "yes"},
	{"steps.fastener_ask", "firmado y el nombre", "firmado mo", "step"},
	{"teach.ask_drive_along", "ni idea", "ni idea", "step"},
	{"teach.ask_drive_across", "ni idea", "ni idea", "step"},
	{"teach.ask_coast_along", "ni idea", "ni idea", "step"},
	{"teach.ask_coast_across", "ni idea", "ni idea", "step"},
	{"teach.ask_lash", "ni idea", "ni idea", "step"},
	{"teach.guess_first", "ni idea", "ni idea", "step"},
	{"glossary.help_commands", "hecho", "hecho", "done"},
	{"glossary.help_commands", "qué sigue", "qué sigue", "next"},
	{"glossary.help_commands", "estado", "estado", "status"},
	{"glossary.help_commands", "por qué", "por qué", "why"},
	{"glossary.help_commands", "historial", "historial", "log"},
	{"glossary.help_commands", "resumen", "resumen", "summary"},
	{"glossary.help_wrong", "deshacer", "deshacer", "undo"},
	{"glossary.help_skip", "saltar y la razón", "saltar lo midió ann", "skip"},
	{"glossary.help_skip", "reabrir y el paso", "reabrir 8", "reopen"},
	{"glossary.help_skip", "sigo con motivo y cuál", "sigo con motivo ya lo medí", "override"},
	{"glossary.help_jobs", "abrir FICHA y de qué se trata", "abrir lapwing zumba", "open"},
	{"glossary.help_jobs", "trabajos", "trabajos", "jobs"},
	{"glossary.help_jobs", "fichas", "fichas", "sheets"},
	{"glossary.help_jobs", "trabajo NÚMERO", "trabajo 2", "switch"},
	{"glossary.help_jobs", "pulgadas", "pulgadas", "units"},
	{"glossary.help_jobs", "métrico", "métrico", "units"},
	{"ask-figures.help", "qué es la punta", "qué es la punta", "words"},
	{"ask-figures.help", "par 7/16-20 grado 8", "par 7/16-20 grado 8", "question"},
	{"ask-figures.help", "5 lb en una cuerda a 2 in", "5 lb en una cuerda a 2 in", "question"},
	{"ask-figures.help", "rpm a 65 con 3.90 y 31s", "rpm a 65 con 3.90 y 31s", "question"},
	{"ask-figures.help", "15 inlb en nm", "15 inlb en nm", "question"},
	{"ask-figures.pull_log", "arrastre del piñón {drag}", "arrastre del piñón 16 in·lbf", "figures"},
	{"ask-figures.which_change", "velocímetro de 31s a 33s", "velocímetro de 31s a 33s", "question"},
	{"ask-figures.which_change", "velocímetro de 3.55 a 4.10", "velocímetro de 3.55 a 4.10", "question"},
}

// Texts that say "di" or "contesta" and name nothing to be typed as it stands.
var namesNoCommand = map[string]bool{
	"advise.near_enough": true, "ask-figures.finish_why": true, "ask-figures.heat_for_no_tight": true, "breakin.back_yet": true, "breakin.checks_ask": true,
	"fasteners.outside": true, "review.held": true, "review.private": true, "steps.teeth_why": true,
	"fasteners.finish_unknown": true, "advise.height_first": true, "advise.against_pinion": true, "advise.against_ring": true,
	"glossary.notch": true, "model.same": true, "model.differs": true, "talk.of_another": true, "teach.same": true, "teach.model": true, "teach.other": true,
}

// tellsToType finds a text that says what to type.
var tellsToType = regexp.MustCompile(`(^|[^\pL])(di|dice|contesta|responde):? `)

func spanishTexts(t *testing.T) map[string]string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("phrase", "es", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files: %v", len(files), err)
	}
	all := map[string]string{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var texts map[string]string
		if err := yaml.Unmarshal(data, &texts); err != nil {
			t.Fatal(err)
		}
		for key, text := range texts {
			all[strings.TrimSuffix(filepath.Base(file), ".yaml")+"."+key] = text
		}
	}
	return all
}

// What a Spanish text tells somebody to type is Spanish, and is understood as what it
// says, by a mentor with a look before them and without one.
func TestWhatASpanishTextNamesIsUnderstood(t *testing.T) {
	texts := spanishTexts(t)
	desk := newDesk(t)
	has := map[string]bool{}
	for _, c := range toldInSpanish {
		has[c.key] = true
		if !strings.Contains(texts[c.key], c.named) {
			t.Errorf("%s no longer names %q: %s", c.key, c.named, texts[c.key])
		}
		for _, look := range []bool{true, false} {
			if got, ok := understoodAs(desk, c, look); !ok {
				t.Errorf("%s: %q with a look %v is understood as %s, want %s", c.key, c.typed, look, got, c.want)
			}
		}
	}
	for key, text := range texts {
		if tellsToType.MatchString(text) && !has[key] && !namesNoCommand[key] {
			t.Errorf("%s tells what to type and is not in the list: %s", key, text)
		}
	}
}

func understoodAs(desk *dialogs.Desk, c told, look bool) (string, bool) {
	if c.want == "step" {
		return "", true
	}
	if c.want == "private 3 2" {
		w := desk.LookWord(dialogs.Said{ID: "m", By: dialogs.Person{Name: "mo", Role: dialogs.Mentor, Language: phrase.Spanish}, Text: c.typed})
		return w.Text, w.Answer && w.Job == 3 && w.Look == 2
	}
	u := listen.Parse(listen.Input{Text: c.typed, Sender: listen.Mentor, Look: look})
	want, number, _ := strings.Cut(c.want, " ")
	got := string(u.Kind)
	switch {
	case u.Back:
		got = "back"
	case u.Command != nil:
		got = string(u.Command.Verb)
	case u.Decision != "":
		got = u.Decision
	case u.Kind == listen.Correction && len(u.Retract) > 0 && u.Retract[0].Last:
		got = "undo"
	case len(u.Readings) > 0 && want == "figures":
		got = want
	}
	if want == "figures" && look || (want == "yes" || want == "next") && look && got == listen.DecisionApprove {
		return got, true // at an open look a figure is a word about it, and a yes its answer
	}
	return got, got == want && (number == "" || u.Look == 2)
}

// A mentor who is answered in Spanish answers a look in Spanish: each word does what
// the English one does.
func TestAMentorAnswersALookInSpanish(t *testing.T) {
	people["luz"] = dialogs.Person{Name: "luz", Role: dialogs.Mentor, Language: phrase.Spanish}
	defer delete(people, "luz")
	k := toLoop(t, "lapwing")
	k.play("ben> lash 14 14 13 14, drive high and heel")
	has(t, k.play("ben> coast high and heel"), "look 1")
	has(t, k.play("luz> tarjeta"), "vistazo 1", "contesta: aprobado 1, repite 1 y qué")
	has(t, k.play("luz> ¿qué es la punta?"), "el extremo de adentro")
	has(t, k.play("luz> pregunta: con qué carga giraste"), "luz pregunta a ben")
	has(t, k.play("ben> trapo en la brida"), "ben")
	has(t, k.play("luz> alto"), "en espera, dice luz")
	has(t, k.play("luz> levanto la espera"), "luz levanta la espera")
	has(t, k.play("luz> lo hago yo"), "luz sigue desde aquí")
	has(t, k.play("luz> sigue tú"), "luz lo devuelve")
	answer := k.play("luz> repite 1 el juego")
	has(t, answer, "luz quiere que se lea otra vez", "juego")
	hasNot(t, answer, "tracción alta")
	has(t, k.play("ben> lash 14 14 13 14"), "look 2")
	has(t, k.play("ben> aprobado 2"), "only a mentor")
	has(t, k.play("luz> aprobado 2 pero mira el alabeo"), "¿eso es apruebo")
	if k.job.Reviews[len(k.job.Reviews)-1].Decision == "approve" {
		t.Error("an approval with a but was taken for one")
	}
	has(t, k.play("luz> aprobado 2"), "aprobado por luz: vistazo 2")
}

// The word of the break-in that ends a hold, as the text names it.
func TestAMentorEndsAHoldOfTheBreakInInSpanish(t *testing.T) {
	people["luz"] = dialogs.Person{Name: "luz", Role: dialogs.Mentor, Language: phrase.Spanish}
	defer delete(people, "luz")
	k := toRoad(t, "lapwing")
	k.play("ann> start break-in", "ann> off", "ann> 255 at the pinion, pulled over")
	k.now = k.now.Add(3600e9)
	has(t, k.play("luz> estado"), "un mentor dice seguimos")
	has(t, k.play("luz> seguimos"), "seguimos", "leg 1 of 4") // what comes next is for ann
}
