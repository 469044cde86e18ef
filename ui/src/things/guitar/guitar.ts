// A guitar in words, and the form of a new one.

import type { FinishKind, GuitarForm, GuitarPage, LengthUnit, PlaceForm, StringForm, Surface } from '../../contract';
import type { Fact } from '../Facts.svelte';

export const FINISHES: readonly { value: FinishKind; label: string; detail: string }[] = [
  { value: 'unknown', label: 'Not known', detail: 'It is treated as delicate.' },
  { value: 'lacquer', label: 'Nitro lacquer', detail: 'Rubber, vinyl and foam can mark it within hours.' },
  { value: 'poly', label: 'Poly', detail: 'Polyester or polyurethane, hard and thick.' },
  { value: 'shellac', label: 'Shellac', detail: 'Or another spirit varnish; thin and soft.' },
  { value: 'oil_or_wax', label: 'Oil or wax', detail: 'The wood can be felt.' },
  { value: 'bare', label: 'Bare wood', detail: 'Nothing on it.' },
];

export const SURFACES: readonly { value: Surface; label: string; detail: string }[] = [
  { value: 'unknown', label: 'Not known', detail: 'Asked when the rig is seated.' },
  { value: 'flat_gloss', label: 'Flat and glossy', detail: 'Suction holds.' },
  { value: 'flat_matt', label: 'Flat and matt', detail: 'Suction slips.' },
  { value: 'carved', label: 'Carved', detail: 'Suction slips.' },
];

/** Common tunings, bass side first, to begin with. */
export const TUNINGS: Readonly<Record<string, readonly string[]>> = {
  '6': ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  '7': ['B1', 'E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  '8': ['F#1', 'B1', 'E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  '4': ['E1', 'A1', 'D2', 'G2'],
  '5': ['B0', 'E1', 'A1', 'D2', 'G2'],
  '12': ['E3', 'E2', 'A3', 'A2', 'D4', 'D3', 'G4', 'G3', 'B3', 'B3', 'E4', 'E4'],
};

/** A common set for each number of strings, bass side first, in thousandths of an inch (common practice). */
export const COMMON_SETS: Readonly<Record<string, readonly string[]>> = {
  '6': ['46', '36', '26', '17', '13', '10'],
  '7': ['59', '46', '36', '26', '17', '13', '10'],
  '8': ['74', '59', '46', '36', '26', '17', '13', '10'],
  '4': ['105', '85', '65', '45'],
  '5': ['130', '105', '85', '65', '45'],
  '12': ['26', '46', '18', '36', '12', '26', '8', '17', '13', '13', '10', '10'],
};

/** Gauges to fill in where none is typed: those of a common set, in the strings that are still without. */
export function gaugesFor(strings: readonly StringForm[]): readonly string[] | null {
  const set = COMMON_SETS[String(strings.length)];
  return set !== undefined && strings.some(({ gauge }) => gauge.trim() === '') ? set : null;
}

export const stringsOf = (count: number): StringForm[] =>
  (TUNINGS[String(count)] ?? []).map((note) => ({ note, gauge: '' }));

export const newPlace = (name: string): PlaceForm => ({
  name,
  from_saddle: '',
  from_saddle_treble: '',
  opening_length: '',
  opening_width: '',
  depth: '',
  fitted: null,
  fitted_words: '',
});

/** What places are called to begin with, in the order in which they are added. */
export const PLACE_NAMES: string[] = ['bridge', 'neck', 'middle'];

/** What a further place is called to begin with, and where it goes: a middle stands between the other two. */
export function furtherPlace(names: readonly string[]): { name: string; at: number } {
  const name = PLACE_NAMES.find((one) => !names.includes(one)) ?? '';
  return { name, at: name === 'middle' ? Math.max(names.indexOf('bridge'), names.indexOf('neck')) : names.length };
}

export function newGuitar(unit: LengthUnit): GuitarForm {
  return {
    label: '',
    hand: 'right',
    strung: null,
    in_pairs: false,
    strings: stringsOf(6),
    strings_age: '',
    scale: '',
    scale_treble: '',
    last_fret: '',
    height_bass: '',
    height_treble: '',
    spread_nut: '',
    spread_saddle: '',
    places: [newPlace('bridge')],
    volume: '',
    tone: '',
    capacitor: '',
    controls: '',
    selector: { kind: 'usual' },
    layout: 'shared',
    track: 'pickup_on_track',
    pots: [],
    finish: { kind: 'unknown', surface: 'unknown', words: '' },
    notes: '',
    unit,
  };
}

const wordOf = <Value>(from: readonly { value: Value; label: string }[], value: Value): string =>
  from.find((one) => one.value === value)?.label ?? '';

const joined = (...parts: readonly string[]): string => parts.filter((part) => part !== '').join(', ');
const named = (name: string, words: string): string => (words === '' ? '' : `${name} ${words}`);

/** What the record says, in the unit its form was asked for; `labels` names the pickups that sit in it. */
export function guitarFacts({ guitar, shown: form }: GuitarPage, labels: ReadonlyMap<string, string>): Fact[] {
  return [
    {
      name: 'Built for',
      words: joined(
        guitar.hand === 'left' ? 'the left hand' : 'the right hand',
        guitar.strung == null ? '' : `strung for the ${guitar.strung} hand`,
      ),
    },
    {
      name: 'Strings',
      words: form.strings.map(({ note, gauge }) => (gauge === '' ? note : `${note} ${gauge}`)).join(', '),
    },
    { name: 'Age of the strings', words: guitar.strings_age },
    { name: 'Scale', words: joined(form.scale, named('treble side', form.scale_treble)) },
    {
      name: 'String height',
      words: joined(
        named('last fret', form.last_fret),
        named('bass side', form.height_bass),
        named('treble side', form.height_treble),
      ),
    },
    { name: 'Spread', words: joined(named('nut', form.spread_nut), named('saddle', form.spread_saddle)) },
    ...form.places.map((place) => ({
      name: `Place: ${place.name}`,
      words: joined(
        `${place.from_saddle} from the saddle`,
        place.from_saddle_treble === '' ? '' : `${place.from_saddle_treble} at the treble side`,
        named('opening', [place.opening_length, place.opening_width].filter((part) => part !== '').join(' by ')),
        named('depth', place.depth),
        place.fitted === null ? '' : `holds ${labels.get(place.fitted) ?? 'a pickup that is not in the drawer'}`,
        place.fitted_words,
      ),
    })),
    {
      name: 'Controls',
      words: joined(
        named('volume', form.volume),
        named('tone', form.tone),
        named('capacitor', form.capacitor),
        form.layout === 'each_place' ? 'a volume for each place' : form.layout === 'no_volume' ? 'no volume' : '',
        guitar.controls.words,
      ),
    },
    {
      name: 'Selector',
      words: guitar.controls.selector?.positions.map(({ name }) => name).join('; ') ?? '',
    },
    {
      name: 'Finish',
      words: joined(wordOf(FINISHES, guitar.finish.kind), guitar.finish.surface === 'unknown' ? '' : wordOf(SURFACES, guitar.finish.surface).toLowerCase(), guitar.finish.words),
    },
    { name: 'Notes', words: guitar.notes },
  ];
}
