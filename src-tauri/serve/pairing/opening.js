// Hands over the key that the printed address carries after its #, and gets a cookie for it.
// That part of an address is never sent in a request, so it is in no log on the way.

const said = document.getElementById('said')

async function enter() {
  const carried = /^#key=([0-9a-f]{64})$/.exec(location.hash)
  if (!carried) return
  said.textContent = ''
  try {
    const answer = await fetch('/enter', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ key: carried[1] }),
    })
    const { refused } = await answer.json()
    if (refused) said.textContent = refused.sentence
    else location.replace('/')
  } catch {
    said.textContent = 'Solderlast did not answer. Check that it is running, then load this page again.'
  }
}

addEventListener('hashchange', () => void enter())
void enter()
