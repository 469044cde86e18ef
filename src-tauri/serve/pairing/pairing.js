// Sends the code a person typed, or the one the pairing picture carried after the # of its link.
// That part of a link is never sent in a request, so it is in no log on the way.

const form = document.getElementById('pair')
const code = document.getElementById('code')
const said = document.getElementById('said')
const button = form.querySelector('button')

function say(sentence, wrong) {
  said.textContent = sentence
  code.setAttribute('aria-invalid', String(wrong))
}

async function pair() {
  say('', false)
  button.disabled = true
  try {
    const answer = await fetch('/pair', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ code: code.value }),
    })
    const { refused } = await answer.json()
    if (!refused) {
      location.replace('/')
      return
    }
    say(refused.sentence, refused.field === 'code')
    code.focus()
    code.select()
  } catch {
    say('The computer did not answer. Check that both are on the same network, then try again.', false)
  }
  button.disabled = false
}

form.addEventListener('submit', (event) => {
  event.preventDefault()
  void pair()
})

const carried = /^#pair=(\d{6})$/.exec(location.hash)
if (carried) {
  history.replaceState(null, '', '/')
  code.value = carried[1]
  void pair()
} else {
  code.focus()
}
