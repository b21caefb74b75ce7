package listen

import (
	"strings"
	"unicode"
)

// stillWrong is in a message that says that something is still wrong.
var stillWrong = compileTrigger(`not | cant | couldnt | havent | hasnt | didnt | isnt | arent | wont | no luck | still | yet | never | will | going to | gonna | need | should | no ~ encuentro | todavia | aun | falta | voy a`)

// righted has the words by which a danger told in words alone is put right, where no
// reading does. English and Spanish, common practice, no source.
var righted = map[string]trigger{
	DangerLostPart:        compileTrigger(`found | got it out | got it | fished ~ out | fished it | retrieved | picked it out | magnet got | its out | it is out | recovered | encontre | encontrado | encontrada | ya ~ saque | lo saque | la saque | aparecio`),
	DangerSupport:         compileTrigger(`on stands | on four stands | on jack stands | stands under | on the lift | chocked | chocks in | supported now | steady now | safe now | caballetes | calzado | en el elevador | ya esta seguro`),
	DangerRunningOnStands: compileTrigger(`stopped | shut off | switched off | turned off | its off | engine off | wheels on | out of gear | key out | apagado | parado | ya pare | fuera de marcha`),
	DangerHands:           compileTrigger(`hands out | hand out | rag out | hands clear | hands off | clear of | stopped | rag is out | all clear | manos fuera | saque la mano | trapo fuera | parado | ya pare`),
	DangerFire:            compileTrigger(`moved it | moved the | moved them | put away | put it away | heater off | flame out | torch off | burner off | switched off | turned off | its off | aired out | cleared away | took it outside | lo aparte | guardado | apagado | apagada | apagu* | lo saque`),
	DangerBurn:            compileTrigger(`cooled it | under water | cold water | under the tap | first aid | bandaged | seen to | ran it under | its fine | hes fine | shes fine | im fine | im ok | hes ok | shes ok | bajo el agua | agua fria | primeros auxilios | vendado | estoy bien | esta bien`),
	DangerPress:           compileTrigger(`released | let off | backed off the press | pressure off | shield up | set up again | aflojad* | liberad* | suelt* | sin presion`),
	DangerCapsMixed:       compileTrigger(`own sides | own side | identified | matched ~ caps | caps ~ matched | found the marks | found the punch* | by the punch* | marks match | know which | sorted which | marked ~ now | marked them | punched them | punched ~ now | painted them | cada una ~ lado | a su lado | en su lado | en su sitio | identificadas | las marqu* | marcadas`),
	DangerMismatch:        compileTrigger(`matched set ~ here | matched pair ~ here | right set | right pair | correct set | set swapped | new set ~ matches | numbers match | numbers agree | both say | juego correcto | par correcto | numeros coinciden | coinciden`),
	DangerStruck:          compileTrigger(`new bearing* | replaced | bearing* ~ inspected | inspected ~ bearing* | looked ~ over | rodamiento* nuevo* | cambiado | revisado`),
	DangerAirSpun:         compileTrigger(`new bearing* | replaced | bearing* ~ inspected | inspected ~ bearing* | looked ~ over | cleaned and oiled | rodamiento* nuevo* | cambiado | revisado`),
	DangerSlinger:         compileTrigger(`slinger ~ in | slinger ~ back | baffle ~ in | baffle ~ back | put it back | its back in | deflector ~ puesto`),
}

// PutsRight says whether a text tells that a danger (one of the ids of
// Utterance.Cautions) is put right. It is for dangers that stand: the words mean
// little without one.
func PutsRight(danger, text string) bool {
	t, ok := righted[danger]
	if !ok || strings.Contains(text, "?") {
		return false
	}
	plain, _, _ := normalise(text)
	words := strings.FieldsFunc(strings.ReplaceAll(plain, "'", ""), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return t.in(words) && !stillWrong.inAny(words)
}
