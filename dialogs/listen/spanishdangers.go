package listen

// spanishDangers has what is said of dangers, in the form of spanishTrade: mostly
// pieces of a sentence, since the tables of dangers look for pieces.
const spanishDangers = `
hand: mano | la mano | manos
fingers: dedos | dedo
rag: trapo | el trapo | estopa
in the teeth: en los dientes | entre los dientes | dentro de los dientes
while turning: mientras gira | girando | dando vueltas | con la corona girando
without oil: sin aceite | sin una gota de aceite
ran: anduvo | rodo | lo rode | camino | lo corri | lo movi
oil: aceite | el aceite
hot: caliente | hirviendo | ardiendo
splashed me: me salpico | me salto
burned: quemo | se quemo
on my arm: en el brazo | en la mano
air: aire | con aire
air gun: pistola de aire | pistola
dried: seque | sople
spun: giro | gire | lo hice girar
bearing: el balero | el rodamiento
hammer: martillo | el martillo | marro
only on a jack: nada mas en el gato | nomas en el gato | solo con el gato | nada mas con el gato
jack: gato | el gato
stands: caballetes | torres
torch: soplete | el soplete
blue: azul
smoke: humo
gasoline: gasolina | la gasolina
solvent: solvente
flame: flama | llama
heater: calentador
finger tight: a mano | nomas a mano | con la mano nomas
no lash at all: nada de juego | cero juego | no tiene nada de juego
binds: se atora | se traba | se amarra
old nut and sleeve back in: tuerca y el casquillo viejos | tuerca y casquillo viejos | casquillo y tuerca viejos | casquillo y la tuerca viejos
shavings in the oil: rebaba en el aceite | limadura en el aceite | salio rebaba | salio viruta
dropped: se me cayo | se me cayeron | se cayo | deje caer | se me fue
fell into the housing: cayo a la carcasa | cayo dentro de la carcasa | cayo adentro
in the housing: dentro de la carcasa | en la carcasa | adentro de la carcasa
cant find: no encuentro | no aparece | no hallo
lost: perdi
shim: calce | suplemento
shims: calces | suplementos
washer: arandela | rondana
same old sleeve: mismo casquillo
reused the sleeve: reuse el casquillo | reutilice el casquillo | volvi a usar el casquillo | puse el mismo casquillo | use el casquillo viejo | puse el casquillo viejo
on the final: en el armado final | en el final | para el final
went past the drag range: pase el rango | me pase del rango | me pase de arrastre | me pase con la tuerca | me pase de precarga | aplaste de mas el casquillo | aplaste demasiado el casquillo
heated the ring with a torch: calente la corona con soplete | calente la corona con el soplete | corona con soplete
ring went blue: corona quedo azul | corona azul | corona se puso azul
swapped the caps: cambie las tapas de lado | cambie las tapas | cruce las tapas | tapas cruzadas | tapas cambiadas | intercambie las tapas
mixed up the caps: revolvi las tapas | mezcle las tapas | tapas revueltas | tapas mezcladas
which cap: cual tapa | que tapa
left the setup bearings in: deje los rodamientos de prueba | deje los baleros de prueba | quedaron los rodamientos de prueba | quedaron los baleros de prueba | sigue con los rodamientos de prueba
numbers dont match: numeros de corona y pinon no coinciden | numeros no son iguales | numeros de la corona y el pinon no coinciden | corona y pinon no coinciden | no coinciden los numeros
forgot the slinger: se me olvido el deflector | se me olvido poner el deflector | olvide el deflector | sin el deflector | no puse el deflector | falta el deflector
slinger: deflector de aceite | deflector
off the end of the tooth: se sale por la punta | se sale por el talon | se sale del diente | al borde del diente | en el filo del diente
closing without a pattern: cerrar sin ver el contacto | cerrar sin ver la huella | cerrar sin huella | cerrar sin patron | cierro sin huella | cierro sin ver la huella | sin sacar huella | tapa sin huella
bit of end play at the finish: juego axial al final | tiene juego axial | le queda juego axial
adjuster lock missing: falta el seguro del ajustador | falta el seguro | sin el seguro del ajustador | sin seguro del ajustador | no le puse el seguro | sin seguros
growling: grune | esta grunendo | grunido | ronca fuerte | ruge
ran it without oil: lo movi sin aceite | rodo sin aceite | lo rode sin aceite | anduvo sin aceite | lo prendi sin aceite | camino sin aceite | se me olvido el aceite
chips in the oil: virutas en el aceite | rebabas en el aceite | pedazos en el aceite | metal en el aceite | aceite con virutas | aceite con rebaba | salieron virutas | salio viruta
on one jack: en un solo gato | en un gato | con un solo gato | sobre un gato | nomas en el gato | solo en el gato
fell off the stands: se cayo de los caballetes | se bajo de los caballetes | se resbalo de los caballetes | se cayo de las torres
running it in gear on stands: corriendo en marcha sobre caballetes | corriendo en los caballetes | girando en marcha sobre caballetes | en marcha sobre los caballetes | en marcha sobre caballetes | acelerando sobre los caballetes | prendido en marcha en los caballetes
rag in the teeth while turning: trapo en los dientes mientras gira | trapo en los engranes | trapo entre los dientes | trapo en los dientes
hand in the ring while turning: mano en la corona mientras gira | dedos en los dientes | mano en los dientes | mano entre los dientes | metiendo la mano mientras gira | dedo entre los dientes
spun the bearing with the air gun: gire el rodamiento con la pistola | gire el rodamiento con aire | seque el rodamiento girandolo con aire | gire el balero con la pistola | gire el balero con aire | sople el balero hasta que giro | hice girar el balero con aire | hice girar el rodamiento con aire
hammered the bearing: le di con el martillo al rodamiento | le di con el martillo al balero | martille el rodamiento | martille el balero | meti el balero a martillazos | meti el rodamiento a martillazos | a martillazos el balero | a golpes el rodamiento | a golpes el balero | golpee el rodamiento | golpee el balero
press at 20 ton and not moving: prensa esta a 20 toneladas y no se mueve | prensa a 20 toneladas y no se mueve | prensa al tope y no se mueve | prensa a tope y nada | prensa no puede mas
gasoline next to the heater: gasolina al lado del calentador | gasolina junto al calentador | gasolina cerca del calentador | gasolina cerca de la flama | gasolina al lado del soplete | gasolina cerca del soplete | solvente cerca de la flama | thinner cerca del calentador
hot oil on my arm: me queme | me cayo aceite caliente | me salpico aceite caliente | se quemo el brazo | se quemo la mano
just put 8 for all: pon 8 en todos | ponle 8 a todos | ponle 8 en todos | apunta 8 en todos | inventa los demas | inventate los numeros | pon lo mismo en todos | invento los demas
`
