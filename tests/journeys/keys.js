// Presses keys of the pad on this page, in these letters, and looks after each whether any key stands elsewhere than before.
async (text) => {
  const later = (time) => new Promise((done) => setTimeout(done, time));
  document.documentElement.dataset.text = text;
  const pad = () => document.querySelector('.pad');
  const places = () => [...pad().querySelectorAll('.key')].map((key) => { const { left, top } = key.getBoundingClientRect(); return `${Math.round(left)} ${Math.round(top)}`; }).join(', ');
  const press = (said) => [...pad().querySelectorAll('.key')].find((key) => key.textContent.trim().endsWith(said) || key.getAttribute('aria-label') === said)?.click();
  const troubles = [];
  pad().scrollIntoView({ block: 'center', behavior: 'instant' });
  press('Clear');
  await later(200);
  const stood = places();
  // Understood, not understood, too little, over limit, far too much.
  for (const keys of [['6', 'point', '6', '6', 'kilo'], ['kilo', 'kilo'], ['6', 'point', '6'], ['over limit'], ['1', '2', '3', '4', '5', '6', '7', '8', '9', 'mega']]) {
    press('Clear');
    for (const key of keys) {
      press(key);
      await later(10);
      if (places() !== stood) troubles.push(`keys moved at ${key}`);
    }
    await later(350);
    if (places() !== stood) troubles.push(`keys moved when ${keys.join(' ')} was read`);
  }
  press('Clear');
  await later(50);
  return troubles;
};
