// What cards and a table need of things that stand beside each other.

import type { Section } from '../contract';

export interface Beside {
  auditions: readonly { id: string; name: string }[];
  sections: readonly Section[];
}
