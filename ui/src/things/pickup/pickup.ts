// A pickup in words, and the form of a new one.

import type { CoilEnd, Construction, Guitar, LengthUnit, Pickup, PickupForm, PickupPage, Poles, ShieldKind } from '../../contract';
import { listed } from '../../pictures/words';
import type { Fact } from '../Facts.svelte';

export const CONSTRUCTIONS: readonly { value: Construction; label: string; detail: string }[] = [
  { value: 'single_coil', label: 'Single coil', detail: 'One coil round its poles.' },
  { value: 'stacked', label: 'Stacked', detail: 'One coil above the other.' },
  { value: 'side_by_side', label: 'Humbucker', detail: 'Two wide coils side by side, each with its own poles.' },
  { value: 'soap_bar', label: 'Soap-bar', detail: 'A wide, flat block.' },
  { value: 'rail', label: 'Rail', detail: 'Blades instead of poles.' },
  { value: 'mini', label: 'Mini', detail: 'Two coils in a small case.' },
  { value: 'tapped_coil', label: 'Tapped coil', detail: 'One coil with a lead part of the way.' },
];

/** How many coils each construction has most often. */
export const USUAL_COILS: Readonly<Record<Construction, number>> = {
  single_coil: 1,
  stacked: 2,
  side_by_side: 2,
  soap_bar: 1,
  rail: 2,
  mini: 2,
  tapped_coil: 2,
};

export const COILS = ['A', 'B', 'C'] as const;

export const POLES: readonly { value: Poles; label: string; detail?: string }[] = [
  { value: 'hidden', label: 'Not known', detail: 'Or hidden by a cover.' },
  { value: 'rods', label: 'Rods' },
  { value: 'screws', label: 'Screws' },
  { value: 'blade', label: 'Blade' },
];

export const WHERE_MAGNETS = [
  { value: 'unknown', label: 'Not known' },
  { value: 'in_poles', label: 'The poles are magnets', detail: 'They pull the strings harder.' },
  { value: 'bar', label: 'A bar below steel', detail: 'Screws, steel poles or a blade.' },
] as const;

export const SHIELDS: readonly { value: ShieldKind; label: string; detail: string }[] = [
  { value: 'none', label: 'None', detail: 'Or none to be seen.' },
  { value: 'bare_wire', label: 'A bare wire', detail: 'Among the leads.' },
  { value: 'braid', label: 'A braid', detail: 'Woven round the lead.' },
];

export const MAGNETS = [
  { value: 'north', label: 'North up' },
  { value: 'south', label: 'South up' },
  { value: 'unknown', label: 'Not known' },
] as const;

export const BATTERY = [
  { value: 'no', label: 'No' },
  { value: 'yes', label: 'Yes' },
  { value: 'unknown', label: 'Not known' },
] as const;

/** An end in words; where there is one coil alone it needs no letter. */
export const endWords = (end: CoilEnd, coils: number): string => (coils > 1 ? `coil ${end.coil} ${end.end}` : end.end);
export const shortEnd = (end: CoilEnd): string => `${end.coil} ${end.end}`;

/** Where a lead goes, in words. */
export function leadWords(ends: readonly CoilEnd[], coils: number): string {
  const each = ends.map((end) => endWords(end, coils));
  return each.length === 0 ? 'not known' : each.length === 1 ? each.join('') : `join of ${listed(each)}`;
}

export function newPickup(unit: LengthUnit): PickupForm {
  return {
    label: '',
    construction: 'single_coil',
    coils: [{ stated: '', magnet_up: null }],
    leads: [],
    joined_inside: [],
    shield: { kind: 'none', joined_to: null },
    frame_joined_to: null,
    poles: 'hidden',
    magnets: null,
    pole_count: '',
    pole_spacing: '',
    stagger: 'unknown',
    heights: [],
    coil_distance: '',
    bass_end_mark: '',
    width: '',
    length: '',
    depth: '',
    notes: '',
    came_from: '',
    active: null,
    unit,
  };
}

const wordOf = <Value>(from: readonly { value: Value; label: string }[], value: Value): string =>
  from.find((one) => one.value === value)?.label ?? '';

/** What the record says, in the unit its form was asked for. */
export function pickupFacts({ pickup, shown: form, measured }: PickupPage): Fact[] {
  const read = (name: string): string => measured.find(({ coil }) => coil === name)?.shown ?? '';
  const several = pickup.coils.length > 1;
  // Both parts of a tapped coil stand on one magnet.
  const poleUp = pickup.construction === 'tapped_coil' ? pickup.coils.some(({ magnet_up }) => magnet_up !== null) : pickup.coils.every(({ magnet_up }) => magnet_up !== null);
  const heights = form.heights.length === 0 ? '' : `: ${form.heights.join(', ')}`;
  return [
    { name: 'Construction', words: wordOf(CONSTRUCTIONS, pickup.construction) },
    ...pickup.coils.map((coil, index) => ({
      name: several ? `Coil ${coil.name}` : 'Coil',
      words: [
        form.coils[index]?.stated === '' ? (read(coil.name) === '' ? 'resistance not known' : '') : (form.coils[index]?.stated ?? ''),
        read(coil.name) === '' ? '' : `measured ${read(coil.name)}`,
        coil.magnet_up === null ? '' : `${coil.magnet_up} up`,
      ]
        .filter((part) => part !== '')
        .join(', '),
    })),
    {
      name: 'Leads',
      words: pickup.leads.map(({ name, ends }) => `${name}: ${leadWords(ends, pickup.coils.length)}`).join('\n'),
    },
    {
      name: 'Joined inside',
      words: pickup.joined_inside.map((ends) => listed(ends.map((end) => endWords(end, pickup.coils.length)))).join('\n'),
    },
    {
      name: 'Shield',
      words:
        wordOf(SHIELDS, pickup.shield.kind) +
        (pickup.shield.joined_to === null ? '' : `, joined to ${pickup.shield.joined_to}`),
    },
    { name: 'Frame or cover', words: form.frame_joined_to === null ? '' : `joined to ${form.frame_joined_to === 'shield' ? 'the shield' : form.frame_joined_to}` },
    {
      name: 'Poles',
      words: [pickup.pole_count === null || pickup.poles === 'blade' ? '' : String(pickup.pole_count), pickup.poles === 'hidden' ? '' : wordOf(POLES, pickup.poles).toLowerCase()]
        .filter((part) => part !== '')
        .join(' '),
    },
    { name: 'Magnets', words: pickup.magnets === 'in_poles' ? 'the poles are magnets' : pickup.magnets === 'bar' ? 'a bar below steel' : '' },
    ...(poleUp ? [] : [{ name: 'Which pole is up', words: '' }]),
    { name: 'Pole spacing', words: form.pole_spacing },
    {
      name: 'Stagger',
      words: form.stagger === 'unknown' ? '' : form.stagger === 'flat' ? 'flat' : `staggered${heights}`,
    },
    ...(several && pickup.construction !== 'stacked' && pickup.construction !== 'tapped_coil' ? [{ name: 'Between pole lines', words: form.coil_distance }] : []),
    { name: 'Bass end mark', words: pickup.bass_end_mark },
    {
      name: 'Size',
      words: [
        form.length === '' ? '' : `${form.length} long`,
        form.width === '' ? '' : `${form.width} wide`,
        form.depth === '' ? '' : `${form.depth} deep`,
      ]
        .filter((part) => part !== '')
        .join(', '),
    },
    { name: 'Needs a battery', words: pickup.active == null ? '' : pickup.active ? 'yes' : 'no' },
    { name: 'Came from', words: pickup.came_from },
    { name: 'Notes', words: pickup.notes },
  ].filter(({ name, words }) => (name !== 'Joined inside' && name !== 'Frame or cover') || words !== '');
}

/** That a pickup has another number of poles than the guitar has strings, or pairs of them; nothing where both are the same or not known. */
export function polesAndStrings({ poles, pole_count }: Pickup, { strings, in_pairs }: Guitar): string | null {
  if (pole_count === null || poles === 'blade' || strings.length === 0) return null;
  const courses = in_pairs === true ? Math.ceil(strings.length / 2) : strings.length;
  if (pole_count === courses) return null;
  return `The pickup has ${pole_count} poles, and the guitar ${courses} ${in_pairs === true ? 'pairs of strings' : 'strings'}.`;
}
