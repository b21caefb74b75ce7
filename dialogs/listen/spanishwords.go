package listen

import "strings"

// spanishAt marks "a la", "al": which way it goes hangs on the verb before it.
const spanishAt = "→at"

// spanishTrade has the words no English message has: the trade's, the verbs, what a
// correction opens with. A line is the English and its Spanish forms, without accents.
// Workshop Spanish of the Americas; common practice, no source.
var spanishTrade = spanishTable(spanishDangers + `
backlash: juego | juego entre dientes | juego de dientes | juego de los dientes | el juego
new gear set: juego de engranes nuevo | juego nuevo de engranes | engranes nuevos | corona y pinon nuevos | juego de corona y pinon nuevo
used gear set: juego de engranes usado | engranes usados | corona y pinon usados | los mismos engranes | juego de corona y pinon usado
backlash spread: dispersion del juego | variacion del juego | diferencia del juego
carrier end play: juego axial | juego axial del portacorona | juego lateral | juego axial de los rodamientos | juego axial de los rodamientos del portacorona
no end play: sin juego axial | no tiene juego axial
drive: lado de empuje | lado empuje | traccion | lado de traccion | lado traccion | del lado de traccion | en traccion | flanco de traccion
drive pattern: huella de traccion | patron de traccion | contacto de traccion | huella en traccion | huella del lado de traccion
coast: lado de retroceso | lado retroceso | retencion | lado de retencion | lado retencion | del lado de retencion | en retencion | flanco de retencion
coast pattern: huella de retencion | patron de retencion | contacto de retencion | huella en retencion | huella del lado de retencion
pattern: huella | huellas | patron de contacto | patron | patrones | huella de contacto
heel: talon | al talon | hacia el talon | en el talon | cerca del talon | cargado al talon | cargada al talon | hacia talon | del lado del talon | del talon
toe: hacia la punta | a la punta | en la punta | cerca de la punta | cargado a la punta | cargada a la punta | hacia punta | del lado de la punta
face: cresta | la cresta | cara del diente
on the face: en la cresta | hacia la cresta | a la cresta
root: raiz | la raiz | fondo del diente
on the root: en la raiz | hacia la raiz | a la raiz
high: alto | alta | altos | altas | arriba
low: bajo | baja | bajos | bajas | abajo
centered: centrado | centrada | centrados | centradas | en el centro | al centro | al medio | en medio | centro
centered lengthwise: centrado a lo largo | centrada a lo largo
perfect: perfecto | perfecta | perfectos | perfectas | muy bien
a little: un poco | un poquito | apenas | tantito | ligeramente | poquito
on both sides: en los dos lados | en ambos lados | de los dos lados | por los dos lados | de ambos lados
both sides: los dos lados | ambos lados | las dos huellas | los dos
pinion: pinon | el pinon | del pinon
from the pinion: de la laina del pinon
pinion shim: laina del pinon | lainas del pinon | laina de pinon | laina de profundidad | paquete del pinon | paquete de lainas del pinon
old pinion shim: laina vieja del pinon | laina vieja de pinon | vieja laina del pinon
new pinion shim: laina nueva del pinon
old left shim: laina vieja izquierda | lainas viejas izquierdas | paquete viejo izquierdo
old right shim: laina vieja derecha | lainas viejas derechas | paquete viejo derecho
left shim: laina izquierda | laina izq | laina de la izquierda | lainas izquierdas | lainas de la izquierda | paquete izquierdo | lado izquierdo | laina del lado izquierdo | lainas izq
right shim: laina derecha | laina der | laina de la derecha | lainas derechas | lainas de la derecha | paquete derecho | laina del lado derecho | lainas der
shims: lainas | laina | lainas laterales | laina lateral
shim pack: paquete de lainas
preload shim: paquete de precarga | laina de precarga | lainas de precarga
leaf: hojita de laina
left: izquierda | izquierdo | izq | lado izquierdo | el izquierdo | la izquierda | izquierdos | izquierdas
right: derecha | derecho | lado derecho | el derecho | la derecha | derechos | derechas
ring gear: corona | la corona
ring bolts: tornillos de corona | tornillos de la corona | pernos de corona | pernos de la corona
carrier: portacorona | diferencial | el portacorona | del portacorona
caps: tapas | las tapas | tapas de los rodamientos | tapas del portacorona | tapas de rodamiento
pinion nut: tuerca del pinon | tuerca de pinon | tuerca
cover bolts: tornillos de la tapa | tornillos de tapa
crush sleeve: casquillo | casquillo deformable | el casquillo
new crush sleeve: casquillo nuevo | casquillo deformable nuevo
new nut: tuerca nueva | tuerca del pinon nueva
new ring bolts: tornillos de corona nuevos | tornillos nuevos de corona
bearing: rodamiento | balero | cojinete
bearings: rodamientos | baleros | cojinetes
new bearings: rodamientos nuevos | baleros nuevos | con rodamientos nuevos | con baleros nuevos
used bearings: rodamientos usados | baleros usados | con rodamientos usados | rodamientos viejos
setup bearings: rodamientos de prueba | baleros de prueba
no seal: sin sello | sin reten | sin el reten | sin retenes
with seal: con reten | con el reten | con reten puesto | con el reten puesto
seal: reten | sello
no seal yet: todavia sin sello
tooth: diente
broken: quebrado | quebrada | quebrados | quebradas | roto | rota
shavings: rebaba | rebabas | limaduras
magnet: iman | el iman
pitted: picado | picada | picados | picadas
no damage: no hay dano | sin dano | sin danos
smells burnt: huele a quemado | huele quemado
towing: remolcar | remolcando | jalar un remolque
decel: desaceleracion | al desacelerar | cuando suelto el acelerador
shim: laminilla | lamina
shims: laminillas | laminas
minus: menos
cant see: no se ve | no se ven | no se ve nada | no se alcanza a ver
cant read: no se lee | no se leen | no se alcanza a leer
no backlash: no tiene juego | sin juego | no hay juego
locked up: trabado | trabada
no mark: no trae marca | no tiene marca | sin marca
pinion drag: arrastre del pinon | arrastre de pinon | arrastre | precarga del pinon | precarga de pinon | precarga de los rodamientos del pinon | el arrastre
total drag: arrastre total | arrastre en total | precarga total
carrier preload: precarga del portacorona | precarga lateral
preload: precarga | la precarga
breakaway: arranque | par de arranque
old mark: marca vieja | marca del pinon viejo | marca vieja del pinon
new mark: marca nueva | marca del pinon nuevo | marca nueva del pinon
pinion mark: marca del pinon | marca de la cabeza del pinon | marca en la cabeza del pinon | marca de pinon
runout: alabeo | alabeo de la corona | alabeo de corona
checking distance: distancia de control
pinion depth: profundidad del pinon | profundidad de pinon
bearing height: altura del rodamiento | altura de rodamiento
teeth: dientes
match numbers: numeros de juego | numero de juego
numbers match: numeros coinciden | los numeros coinciden | numeros iguales | mismo numero de juego | el mismo numero | numeros de juego iguales | los numeros son iguales | coinciden los numeros
numbers dont match: numeros no coinciden | los numeros no coinciden | numeros diferentes | numeros distintos
adjuster: ajustador | el ajustador
left adjuster: ajustador izquierdo | el ajustador izquierdo | ajustador izq
right adjuster: ajustador derecho | el ajustador derecho | ajustador der
notch: muesca
notches: muescas
housing: carcasa
threadlocker: fijador | fijador de roscas | fijarroscas | traba roscas
vent clear: respiradero limpio | respiradero libre | respiradero destapado
magnet clean: iman limpio
no noise: sin ruido | no hace ruido | sin ruidos | no suena | callado | callada | todo callado | anda callado | ningun ruido
noise: ruido | suena
whines: zumba | chilla | zumbido | aulla
cooled down: ya enfrio | enfrio
thousandths: milesimas | milesima | mils de pulgada
hundredths: centesimas | centesima
notches tighter: muescas mas apretado
marked: marcada | marcadas | marcado | marcados
torqued: apretada | apretadas | apretado | apretados | torqueada | torqueadas | torqueados | torqueado | apretadas con torquimetro
torqued to: apretadas a | apretados a | apretada a | apretado a | torqueadas a | torqueados a
loose: flojas | flojos | sueltas
finger tight: apretadas a mano
seated: asentados | asentado | asentadas
fitted: puestos | montado | montados | instalado | instalados
took: quite | le quite | saque | le saque | les quite | quitamos | sacamos | le quitamos | le baje
take: quitar | sacar | quitarle | sacarle | quitale | quita
put: puse | le puse | pusimos | le pusimos
put them: se las puse | se los puse | las puse | los puse | se la puse | se lo puse | la puse | lo puse
put on: ponle
added: agregue | le agregue | aumente | le aumente | anadi | le anadi | agregamos | le sume
add: agregar | poner | agregarle | ponerle | aumentar
moved: pase | movi | pasamos | movimos | cambie
tightened: aprete | apretamos
loosened: afloje | aflojamos
backed off the pinion nut: afloje la tuerca | afloje la tuerca del pinon | afloje un poco la tuerca | afloje un poco la tuerca del pinon
measured: medi | medimos
i have: tengo | tenemos
gave: me dio
reads: me da | me salio | salio | marca
ended at: quedo en
it ended: quedo
scratch that, i meant: quise decir | no quise decir | queria decir | quiero decir | no queria decir
no its: no , son | no , es | no , era | no , eran
bolt: perno | tornillo
position: posicion
points: puntos
lowered: baje | bajamos | adelgace
raised: subi | subimos | engrose
torque: par de apriete
correction: correccion | corrijo
sorry, was: perdon era | perdona era | disculpa era | perdon es
sorry: perdon | perdona | disculpa
i was wrong, it was: me equivoque es | me equivoque era
scratch that, i was wrong: me equivoque
is it ok: esta bien | estara bien | se vale | sirve
what do i change: que cambio | que le cambio | que hago | que le hago | que muevo | que le muevo
how much do they add up to: cuanto suman los dos | cuanto suman | cuanto dan los dos
what was the lash at first: cuanto tenia al principio | cuanto traia al principio
what is the backlash spec: cuanto debe tener de juego | cuanto juego debe tener | cuanto juego lleva
how much torque: cuanto torque | que torque | cuanto par | que par
how much: cuanto | cuanta
how many: cuantos | cuantas
which way: para que lado | para donde | hacia donde | en que direccion
what if: que pasa si
book says: manual dice | dice el manual | manual pide | el libro dice | la ficha dice | segun el manual | libro pide
should be: debe ser | debe estar | deberia ser | tiene que ser | debe quedar
want: quiero | queremos | busco
if: si fuera | si fuese
were: fuera | fuese
what should i do: que haria | que deberia hacer | que harias
going to take: voy a quitar | voy a sacar | voy a quitarle | vamos a quitar | pienso quitar
going to put: voy a poner | voy a agregar | voy a ponerle | vamos a poner | pienso poner
going to move: voy a mover | voy a pasar
going to: voy a | vamos a
other job: otro trabajo | el otro trabajo | otro eje | otra camioneta | otro carro
last time: la vez pasada | la otra vez | ultima vez
had: tenia | traia
i think: creo | creo que | me parece que | pienso que | como que
drove: anduvo | anduve | recorrio | recorri | rodo | manejamos
approved: aprobado | aprobada | apruebo | visto bueno
redo the: mide otra vez el | vuelve a medir el | vuelve a tomar la | repite la | repite el | mide de nuevo el | mide otra vez la
redo it: mide otra vez | vuelve a medir | mide de nuevo | repite | vuelve a tomar | hazlo otra vez
to lower the: para bajar la
because: porque
not sure: no estoy seguro | no estoy segura | no se
now: ahora
here: aqui
the same: lo mismo | igual
even all round: parejo en toda la corona | parejo | parejo en todos lados | igual en toda la corona
before teardown: antes de desarmar | como llego
fourteen: catorce
sixteen: dieciseis
eleven thousandths: once milesimas
thirteen: trece
seventeen: diecisiete
eighteen: dieciocho
nineteen: diecinueve
in lb: libras pulgada | pulgadas libra | lb pulg | lb pulgada | libra pulgada
degrees: grados
please: por favor
`)

// spanishSmall are the words that are put over only where the message is Spanish.
var spanishSmall = spanishTable(`
toe: punta
right: der
from: de
from the: de la | del | de el
of the: de los | de las
the: el | la | los | las
→at: a la | al | a el | a lo
to: a | hacia
in: en
on the: en la | en el | en los | en las
with: con | con las | con el | con los | con la
without: sin
is: es | esta | estan | son | mide | miden
was: era | estaba | eran
if: si
and: y
or: o
not: no es | no esta
for: para
that: que | eso
me: me
i: yo
says: dice
wants: pide
one: un | una
more: mas
all round: toda la
gives: da | dan
gave: dio
it: lo | le | se
ok: bien
very: muy
done: listo
old: vieja | viejo | viejas | viejos
new: nueva | nuevo | nuevas | nuevos
used: usada | usado | usados | usadas
total: total
cover: tapa
what: que cosa
`)

func spanishTable(lines string) phraseTable[string] {
	return newPhraseTable(func(add func(string, string)) {
		for line := range strings.SplitSeq(strings.TrimSpace(lines), "\n") {
			english, forms, _ := strings.Cut(line, ":")
			for form := range strings.SplitSeq(forms, "|") {
				add(form, english)
			}
		}
	})
}
