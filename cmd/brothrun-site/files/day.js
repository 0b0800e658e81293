'use strict'
// The day of a run. The script is that of the page which a laptop serves (run.js); this
// one stands in the laptop's place: what the page asks for is answered by the planner in
// it, and a press is noted in the run's file on the phone.
{
  const script = document.currentScript.dataset.run, { body } = document
  const part = id => document.getElementById(id)
  const run = new URLSearchParams(location.search).get('run') ?? '', base = `day/${run}/`, beyond = fetch
  let last = '', number = 0

  const shown = (answer, have) => {
    if (answer.html !== last) number++
    last = answer.html
    const headers = { 'X-Clock': String(Date.now()), 'X-View': String(number) }
    if (have === String(number)) return new Response(null, { status: 304, headers })
    return new Response(last, { status: answer.status ? 409 : 200, headers })
  }
  const asked = async ask => phone.answer({ ask, runs: [run] }, await phone.files())
  const press = fields => phone.within(files => phone.answer(
    { ask: 'press', runs: [run], note: Object.fromEntries(new URLSearchParams(fields)) }, files))

  globalThis.fetch = async (url, options = {}) => {
    if (!String(url).startsWith(base)) return beyond(url, options)
    if (options.method === 'POST') return shown(await press(options.body))
    return shown(await asked('day'), new URL(url, location).searchParams.get('have'))
  }
  globalThis.EventSource = class { // the other pages on this phone
    constructor() { phone.news.onmessage = () => this.onmessage() }
    close() { phone.news.onmessage = null }
  }

  const hand = ({ file, problems }) => file
    ? phone.save(file.name, file.type, phone.octets(file.data)) : part('said').textContent = problems[0].text
  document.addEventListener('click', async event => {
    if (!event.target.closest('a[href$="timer.ics"]')) return
    event.preventDefault()
    hand(await asked('timer'))
  })
  part('calendar').onclick = async () => hand(await phone.within(files => phone.answer({ ask: 'calendar', runs: [run] }, files)))
  part('copy').onclick = async () => phone.save(run, 'application/toml', (await phone.files())[run])
  part('plan').href = './#' + encodeURIComponent(run)

  // Once tapped it may beep, and keep the screen on.
  let sound, over = false
  const awake = () => document.hidden || navigator.wakeLock?.request('screen').catch(() => {})
  addEventListener('pointerdown', () => {
    if (sound) return
    sound = new AudioContext()
    awake()
    document.addEventListener('visibilitychange', awake)
  })
  setInterval(() => {
    const is = !!document.querySelector('.count.over[data-until]')
    if (is && !over && sound) {
      for (let n = 0; n < 6; n++) {
        const tone = new OscillatorNode(sound, { frequency: 880 })
        tone.connect(sound.destination)
        tone.start(sound.currentTime + n * .5)
        tone.stop(sound.currentTime + n * .5 + .25)
      }
    }
    over = is
  }, 500)

  phone.ready.then(phone.files).then(async files => {
    if (!files[run]) return void (part('link').textContent = body.dataset.unchosen)
    const answer = await asked('day')
    if (answer.problems?.length) {
      part('said').textContent = answer.problems.map(({ text, hint }) => [text, hint].filter(Boolean).join('; ')).join('. ')
      if (!answer.html) return
    }
    part('title').textContent = answer.figures.title
    Object.assign(body.dataset, { base, zone: answer.figures.zone })
    const next = document.createElement('script')
    next.src = script
    body.append(next)
  }).catch(wrong => { part('link').textContent = `The planner cannot be loaded (${wrong.message}). Try again later.` })
  phone.keep(() => {})
}
