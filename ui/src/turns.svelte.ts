// What one page writes, act after act. The transport keeps their order; here a second tap on the same thing is told from another act.

export class Turns {
  /** How many acts are not answered yet. */
  under_way = $state(0);
  #last: { same: string; answer: Promise<boolean> } | null = null;

  /** Does an act. While the last one is on its way, the same once more is that one. */
  take(act: unknown, run: () => Promise<boolean>): Promise<boolean> {
    const same = JSON.stringify(act);
    if (this.#last?.same === same) return this.#last.answer;
    this.under_way += 1;
    const answer = run().finally(() => {
      this.under_way -= 1;
      if (this.#last?.answer === answer) this.#last = null;
    });
    this.#last = { same, answer };
    return answer;
  }
}
