// A sentence about what was just done, for the page that is shown next.

class Said {
  sentence = $state<string | null>(null);
}

export const said = new Said();
