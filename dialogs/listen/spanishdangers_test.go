package listen

import (
	"slices"
	"testing"
)

// Dangers said in Spanish are heard as those in English are, and what only sounds like
// one is not. Source of the dangers: common practice, no source.
func TestDangersInSpanish(t *testing.T) {
	for _, row := range []struct{ text, danger string }{
		{"aflojé la tuerca un poco", "nut_backed_off"},
		{"me pasé, quedó en 30 de arrastre, pasé el rango del piñón", "sleeve_over_crushed"},
		{"usé el casquillo viejo en el armado final", "sleeve_reused"},
		{"cero juego, está trabado", "no_lash"},
		{"las tapas están flojas todavía", "caps_not_torqued"},
		{"los tornillos de la corona están flojos", "ring_bolts"},
		{"tornillos de la corona sin fijador", "ring_bolts"},
		{"calenté la corona con soplete, quedó azul", "ring_overheated"},
		{"cambié las tapas de lado", "caps_mixed"},
		{"no sé cuál tapa es cuál", "caps_mixed"},
		{"dejé los rodamientos de prueba puestos", "setup_bearings_left_in"},
		{"los números de corona y piñón no coinciden", "gear_set_mismatched"},
		{"se me olvidó poner el deflector de aceite", "slinger_omitted"},
		{"el contacto se sale por la punta", "pattern_edge"},
		{"voy a cerrar sin ver el contacto", "closing_without_pattern"},
		{"tiene tantito juego axial al final", "no_preload"},
		{"falta el seguro del ajustador", "adjuster_lock_missing"},
		{"está echando humo", "smoke"},
		{"gruñe fuerte", "growl"},
		{"lo moví sin aceite", "run_without_oil"},
		{"hay virutas en el aceite", "chips_in_oil"},
		{"mañana va a remolcar", "towing_in_break_in"},
		{"está en un solo gato", "vehicle_support"},
		{"lo estoy corriendo en marcha sobre caballetes sin llantas", "running_on_stands"},
		{"tengo el trapo en los dientes mientras gira", "hands_in_mesh"},
		{"giré el rodamiento con la pistola de aire", "air_spun_bearing"},
		{"le di con el martillo al rodamiento", "bearing_struck"},
		{"la prensa está a 20 toneladas y no se mueve", "press_overload"},
		{"estoy lavando con gasolina al lado del calentador", "flammable_near_heat"},
		{"me quemé el brazo con aceite caliente", "burn"},
		{"se me cayó un calce en la carcasa", "lost_part"},
		{"pon 8 en todos", "fabricated_data"},
		{"se me cayó una rondana adentro", "lost_part"},
		{"le aflojé tantito a la tuerca del piñón", "nut_backed_off"},
		{"las tapas las apreté nomás a mano", "caps_not_torqued"},
		{"revolví las tapas, no sé de qué lado van", "caps_mixed"},
		{"la corona se puso azul con el soplete", "ring_overheated"},
		{"tiene la mano metida entre los dientes", "hands_in_mesh"},
		{"el carro está nada más en el gato", "vehicle_support"},
		{"metí el balero a martillazos", "bearing_struck"},
		{"sequé el balero con aire y giró", "air_spun_bearing"},
		{"anduvo un kilómetro sin aceite", "run_without_oil"},
		{"salió rebaba en el aceite", "chips_in_oil"},
		{"huele a quemado y sale humo", "smoke"},
		{"hace un gruñido cada vez más fuerte", "growl"},
		{"me salpicó aceite hirviendo", "burn"},
		{"voy a poner la tapa sin sacar huella", "closing_without_pattern"},
		{"usé la tuerca y el casquillo viejos", "sleeve_reused"},
		{"no tiene nada de juego, se atora", "no_lash"},
		{"prendí el soplete y ahí está la gasolina", "flammable_near_heat"},
	} {
		u := Parse(Input{Text: row.text})
		if !slices.Contains(u.Cautions, row.danger) {
			t.Errorf("%q: dangers %v, want %s among them", row.text, u.Cautions, row.danger)
		}
	}
	for _, text := range []string{
		"no hay virutas en el aceite",
		"quité el casquillo viejo",
		"casquillo viejo afuera, casquillo nuevo puesto",
		"ya puse el seguro del ajustador",
		"no se me cayó nada",
		"las tapas no están cruzadas",
		"no me quemé",
		"sin humo, todo frío",
		"los números de corona y piñón coinciden",
		"calenté la corona en el horno a 100 C",
		"el deflector está puesto",
		"la prensa bajó suave",
		"lavé con solvente, nada de fuego cerca",
		"perdí el teléfono",
		"los dedos del gato",
		"huella centrada, no se sale por la punta",
		"sin juego axial",
		"rodamientos de prueba afuera, los finales puestos",
		"ya encontré el calce",
		"no martillé nada",
		"cambié el aceite ayer",
		"el gato hidráulico nuevo llegó",
		"azul de prusia para la huella",
		"aceite caliente ya drenado",
		"trapo limpio y a comer",
		"el martillo está en la caja",
	} {
		if u := Parse(Input{Text: text}); len(u.Cautions) > 0 {
			t.Errorf("%q: dangers %v, want none", text, u.Cautions)
		}
	}
}
