// The code that a paired phone has to send again before something is erased for good. Other devices are asked for none.

import type { Ask, Reply } from '../contract';
import { askToErase, Refused, type ReplyOf } from '../transport';

export class CodeAsked {
  /** The bench wants the code that the computer shows. */
  wanted = $state(false);
  typed = $state('');
  error = $state<string | null>(null);

  /** Asks to erase something; null when the person has to type the code first, or another one. */
  async erase<Kind extends Reply['reply']>(question: Ask, kind: Kind): Promise<ReplyOf<Kind> | null> {
    try {
      const reply = await askToErase(question, kind, this.wanted ? this.typed : null);
      this.forget();
      return reply;
    } catch (cause) {
      if (!(cause instanceof Refused) || cause.field !== 'code') throw cause;
      this.error = this.wanted ? cause.sentence : null;
      this.wanted = true;
      this.typed = '';
      return null;
    }
  }

  forget(): void {
    this.wanted = false;
    this.typed = '';
    this.error = null;
  }
}
