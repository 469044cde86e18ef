// Instants as a person reads them, in this device's time zone.

const DAY = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
const TIME = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });

/** `28 Sep 2026`, as the core writes it. */
export const dayOf = (instant: string): string => DAY.format(new Date(instant)).replace('Sept', 'Sep');

/** `Monday, 28 Sep 2026` */
export const today = (): string => {
  const now = new Date();
  return `${now.toLocaleDateString('en-GB', { weekday: 'long' })}, ${dayOf(now.toISOString())}`;
};

/** `16:01` */
export const timeOf = (instant: string): string => TIME.format(new Date(instant));

/** How long ago it was: `under a minute`, `12 min`, `1 h 5 min`. */
export function ageOf(instant: string, now: number): string {
  const minutes = Math.max(0, Math.floor((now - Date.parse(instant)) / 60_000));
  if (minutes < 1) return 'under a minute';
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** The instant at which a day chosen in a date field (`2026-09-28`) begins, `later` days on; null for no day. */
export function dayBegins(day: string, later = 0): string | null {
  const [, year, month, date] = /^(\d{4})-(\d{2})-(\d{2})$/.exec(day) ?? [];
  if (year === undefined) return null;
  const begins = new Date(Number(year), Number(month) - 1, Number(date) + later);
  return Number.isNaN(begins.getTime()) ? null : begins.toISOString();
}
