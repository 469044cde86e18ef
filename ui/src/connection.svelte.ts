// Whether the bench answers, as a page may show it.

class Connection {
  /** Nothing came back the last time something was asked. */
  lost = $state(false);
  /** How many acts are not written yet. */
  waiting = $state(0);
  /** What could not be done with something sent late, in a sentence. */
  trouble = $state<string | null>(null);
}

export const connection = new Connection();
