// Every pickup and guitar by name, those put away too, for lists to choose from.

import { ask } from '../transport';

export interface Named {
  id: string;
  label: string;
}

class Choices {
  pickups = $state.raw<readonly Named[]>([]);
  guitars = $state.raw<readonly Named[]>([]);

  /** Fetches them. Without an answer the lists stay as they are. */
  async fetch(): Promise<void> {
    const away = (label: string, retired: boolean): string => (retired ? `${label} (put away)` : label);
    try {
      const [drawer, drawerAway, guitars, guitarsAway] = await Promise.all([
        ask({ ask: 'drawer', retired: false }, 'drawer'),
        ask({ ask: 'drawer', retired: true }, 'drawer'),
        ask({ ask: 'guitars', retired: false }, 'guitars'),
        ask({ ask: 'guitars', retired: true }, 'guitars'),
      ]);
      this.pickups = [...drawer.pickups, ...drawerAway.pickups].map(({ id, pickup, retired }) => ({
        id,
        label: away(pickup.label, retired),
      }));
      this.guitars = [...guitars.guitars, ...guitarsAway.guitars].map(({ id, guitar, retired }) => ({
        id,
        label: away(guitar.label, retired),
      }));
    } catch {
      // The quiet line above the page says that the bench does not answer.
    }
  }
}

export const choices = new Choices();
