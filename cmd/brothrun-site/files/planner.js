'use strict'
// The planner: a kitchen, a run, and the answer, which changes as she moves what she asks.
{
  const part = id => document.getElementById(id)
  const kitchen = 'kitchen.toml'
  const said = name => document.querySelector('#texts').content.querySelector(`[data-text=${name}]`).textContent
  let files = {}, run = 'run.toml', moving = false, stale = false, kept = Promise.resolve()
  const wrong = new Map() // what stands in a field and could not be kept, by form and field

  const ask = (question, more = {}) => phone.answer({ runs: [run], ...question, ...more }, files)
  const toml = () => Object.keys(files).filter(name => name.endsWith('.toml') && name !== kitchen).sort()

  // keep asks for a change, and keeps the files it makes. A new run is kept with the first
  // of them.
  async function keep(question) {
    const answer = await phone.within(now => {
      const blank = now[run] ? {} : { [run]: files[run] }, answer = phone.answer({ runs: [run], ...question }, { ...now, ...blank })
      return answer.files ? { ...answer, files: { ...blank, ...answer.files } } : answer
    })
    files = { [run]: files[run], ...await phone.files() }
    return answer
  }

  const keepRun = bytes => phone.within(() => ({ files: { [run]: bytes } }))

  // problems are told under the answer, and each beside its field.
  function problems(all = []) {
    for (const field of document.querySelectorAll('[aria-invalid]')) {
      field.removeAttribute('aria-invalid')
      if (field.dataset.advice) field.setAttribute('aria-describedby', field.dataset.advice)
      else field.removeAttribute('aria-describedby')
    }
    for (const line of document.querySelectorAll('form .wrong')) line.remove()
    part('problems').replaceChildren(...all.map(({ key, text, hint }, i) => {
      const line = document.createElement('p')
      line.className = 'wrong'
      line.textContent = [text, hint].filter(Boolean).join('. Try: ')
      const name = { bones: 'weight', start: 'time', finish_by: 'time', 'finish-by': 'time' }[key] ?? key
      const named = name => name && document.querySelector(`form [name="${CSS.escape(name)}"]`), field = named(name) ?? named(key)
      if (field) {
        field.setAttribute('aria-invalid', 'true')
        field.dataset.advice ??= field.getAttribute('aria-describedby') ?? ''
        field.setAttribute('aria-describedby', `${field.dataset.advice} problem-${i}`.trim())
        field.closest('.field').append(Object.assign(line.cloneNode(true), { id: 'problem-' + i }))
      }
      return line
    }))
  }

  const lost = wrong => {
    console.error(wrong)
    unplanned([{ text: said('unkept') }])
  }

  // next does what changes files or forms, one after the other: what is under way is kept
  // where it was meant to be.
  const next = work => { kept = kept.then(work).catch(lost) }

  // unplanned takes away what is not the answer to what stands in the fields.
  function unplanned(all) {
    figures({})
    part('plan').replaceChildren()
    part('takes').hidden = true
    problems(all)
    part('said').textContent = part('problems').textContent
  }

  // fields are those of the run's form, or the one that changed, by the names of the command's flags.
  const flags = { weight: 'bones', unit: 'bones', time: 'when', way: 'when' }
  const fields = changed => {
    const value = name => part('run').elements[name]?.value, weight = value('weight')
    const bones = weight === undefined ? value('bones') : weight && `${weight} ${value('unit')}`
    const one = changed => {
      const flag = flags[changed] ?? changed
      return flag === 'when' ? [value('way'), value('time')] : [flag, flag === 'bones' ? bones : value(flag)]
    }
    if (changed) return Object.fromEntries([one(changed)])
    const all = ['kind', 'bones', 'pot', 'jars', 'when', 'vegetables', 'simmer', 'lid'].map(one)
    return Object.fromEntries(all.filter(([, text]) => text))
  }

  function figures(answer) {
    const rows = answer.figures?.rows ?? [], list = document.createElement('dl')
    for (const { label, value, remark } of rows) {
      const dd = document.createElement('dd'), strong = document.createElement('b')
      if (label) list.append(Object.assign(document.createElement('dt'), { textContent: label }))
      strong.textContent = value
      dd.append(strong, ' ', Object.assign(document.createElement('span'), { textContent: remark }))
      list.append(dd)
    }
    part('figures').replaceChildren(...rows.length ? [list] : [])
    const short = rows.filter(({ label }) => ['Strained', 'Jars', 'Canner loads'].includes(label))
    if (part('short')) part('short').textContent = short.map(({ label, value }) => `${label}: ${value}`).join(' · ')
  }

  function plan() {
    if (wrong.size) return unplanned([...wrong.values()].flat())
    const answer = ask({ ask: 'plan' })
    part('plan').innerHTML = answer.html ?? ''
    part('takes').hidden = !answer.html
    figures(answer)
    problems(answer.problems)
    if (answer.problems?.some(({ key }) => key === 'altitude')) part('kitchen-more').open = true
    part('said').textContent = part('problems').textContent || part('figures').textContent
    part('day').href = 'day.html?run=' + encodeURIComponent(run)
  }

  // formed shows in a form what is kept, with what was open in it.
  function formed(name) {
    const open = new Set([...part(name).querySelectorAll('details[open] > summary')].map(({ textContent }) => textContent))
    part(name).innerHTML = ask({ ask: name }).html ?? ''
    for (const summary of part(name).querySelectorAll('summary')) summary.parentElement.open ||= open.has(summary.textContent)
    for (const range of part(name).querySelectorAll('[type=range]')) follow(range)
  }

  function forms(kitchenToo = true) {
    if (kitchenToo) formed('kitchen')
    formed('run')
    wrong.clear()
    part('several').hidden = toml().length < 2
    part('which').replaceChildren(...toml().map(name => new Option(name, name, name === run, name === run)))
  }

  // follow lets a slider and its number say the same.
  function follow(range) {
    const field = part(range.dataset.of)
    range.oninput = () => { field.value = range.value }
    field.oninput = () => { range.value = field.value }
  }

  let list = ''
  function listed() {
    const names = [kitchen, ...toml()].filter(name => files[name])
    if (list === (list = names.join('\n'))) return // what is to be pressed stays where it is
    part('files').replaceChildren(...names.flatMap(name => {
      const save = document.createElement('button')
      save.textContent = `${said('save')} ${name}`
      save.onclick = async () => {
        await kept
        phone.save(name, 'application/toml', files[name])
      }
      if (name === kitchen) return [save]
      const away = document.createElement('button')
      away.textContent = `${said('delete')} ${name}`
      away.onclick = () => confirm(said('sure')) && next(async () => {
        await phone.within(() => ({ files: { [name]: null, [name.replace(/toml$/, 'ics')]: null } }))
        await all()
      })
      return [save, away]
    }))
  }

  async function all() {
    stale = false
    files = await phone.files()
    if (!files[run]) run = toml()[0] ?? 'run.toml'
    const blank = !files[run]
    if (blank) files[run] = phone.octets(ask({ ask: 'run' }).files[run])
    forms()
    plan()
    if (blank && part('plan').firstChild) await keepRun(files[run]) // it is one to go by
    listed()
  }

  part('run').addEventListener('input', () => { // while she moves it
    if (moving || [...wrong.keys()].some(key => key.startsWith('kitchen'))) return
    moving = true
    requestAnimationFrame(() => {
      moving = false
      const answer = ask({ ask: 'figures', set: fields() })
      figures(answer)
      problems(answer.problems)
    })
  })

  // changed keeps what was set by a field, as it was then: by now its form may be shown anew.
  async function changed(of, field, name, set) {
    const answer = await keep({ ask: of, set }), key = `${of} ${flags[name] ?? name}`
    wrong.delete(key)
    if (answer.problems?.length && field.isConnected) wrong.set(key, answer.problems)
    if (!field.isConnected) {
      if (part(of).contains(document.activeElement)) stale = true
      else formed(of)
    }
    if (name === 'unit' && !wrong.size) { // the slider goes further in pounds
      formed('run')
      part('unit')?.focus()
    } else if (of === 'kitchen' && !wrong.size && !part('run').contains(document.activeElement)) formed('run')
    stale ||= /\[/.test(name) // of pots there is another to choose, and room for one more
    if (stale && !wrong.size && !document.activeElement?.closest('form')) return all()
    plan()
    listed()
  }
  for (const of of ['run', 'kitchen']) {
    part(of).addEventListener('submit', event => event.preventDefault())
    part(of).addEventListener('change', ({ target }) => {
      const name = target.name || target.dataset.of, set = of === 'run' ? fields(name) : { [name]: target.value }
      next(() => changed(of, target, name, set))
    })
    part(of).addEventListener('focusout', ({ relatedTarget }) => {
      if (!relatedTarget?.closest('form')) next(() => stale && !wrong.size && all())
    })
  }
  part('which').onchange = ({ target }) => next(() => {
    run = target.value
    forms()
    plan()
  })
  part('new').onclick = () => next(async () => {
    for (let n = 2; files[run]; n++) run = `run-${n}.toml`
    await keepRun(phone.octets(ask({ ask: 'run' }).files[run]))
    await all()
    part('run-title').scrollIntoView()
  })

  for (const button of document.querySelectorAll('[data-ask]')) {
    button.onclick = async () => {
      await kept
      const { ask: what } = button.dataset, answer = what === 'calendar' ? await keep({ ask: what }) : ask({ ask: what })
      if (what === 'calendar') part('calendar-note').hidden = false
      if (!answer.file && !answer.html) return problems(answer.problems)
      if (answer.file?.type.startsWith('text/html')) return sheet(new TextDecoder().decode(phone.octets(answer.file.data)), button)
      if (answer.file) return phone.save(answer.file.name, answer.file.type, phone.octets(answer.file.data))
    }
  }

  // sheet shows a page to print, by its own style alone.
  function sheet(html, from) {
    // The policy of the page lets no style stand in HTML, but be set.
    const styles = ['.screen button { font: 16px sans-serif; min-height: 56px; margin: 4px; padding: 0 16px }']
    const bare = html.replace(/<style>([^]*?)<\/style>/g, (_, text) => { styles.push(text); return '' }).replaceAll(' style="', ' data-style="')
    const page = new DOMParser().parseFromString(bare, 'text/html')
    const style = new CSSStyleSheet()
    style.replaceSync(styles.join('\n'))
    for (const link of document.querySelectorAll('link[rel=stylesheet]')) link.disabled = true
    document.adoptedStyleSheets = [style]
    document.body.className = page.body.className
    part('sheet').replaceChildren(part('bar').content.cloneNode(true), ...page.body.childNodes)
    for (const node of part('sheet').querySelectorAll('[data-style]')) node.style.cssText = node.dataset.style
    part('pages').hidden = true
    part('sheet').hidden = false
    part('planned').hidden = from.dataset.ask !== 'labels'
    part('print').onclick = () => print()
    part('back').onclick = () => {
      document.adoptedStyleSheets = []
      for (const link of document.querySelectorAll('link[rel=stylesheet]')) link.disabled = false
      document.body.className = ''
      part('sheet').hidden = true
      part('sheet').replaceChildren()
      part('pages').hidden = false
      from.focus()
    }
    part('print').focus()
  }

  part('open').onchange = event => next(async () => {
    const refused = []
    for (const file of event.target.files) {
      const read = phone.answer({ ask: 'open', runs: [file.name] }, { [file.name]: new Uint8Array(await file.arrayBuffer()) })
      if (!read.files) refused.push(...read.problems.map(({ text, hint }) => ({ text: `${file.name}: ${text}`, hint })))
      for (const [name, content] of Object.entries(read.files ?? {})) {
        const bytes = phone.octets(content), there = (await phone.files())[name]
        if (there && String(there) !== String(bytes) && !confirm(said('replace').replace('{name}', name))) continue
        await phone.within(() => ({ files: { [name]: bytes } }))
        if (name !== kitchen) run = name
      }
    }
    event.target.value = ''
    await all()
    if (refused.length) problems(refused)
  })

  part('take').onclick = () => phone.take()
  phone.keep(how => {
    part('offer').hidden = how !== 'offered'
    part('offline').textContent = said(how === 'online' ? 'online' : 'kept')
  })
  phone.news.onmessage = () => next(async () => {
    stale = true
    files = { [run]: files[run], ...await phone.files() }
    if (!document.activeElement?.closest('form')) await all()
  })

  if (location.hash) run = decodeURIComponent(location.hash.slice(1))
  phone.ready.then(all).then(async () => {
    part('link').textContent = said('loaded')
    const kept = await navigator.storage?.persist?.()
    part('persisted').textContent = said(kept ? 'persisted' : 'unpersisted')
  }).catch(wrong => {
    console.error(wrong)
    part('link').textContent = said(globalThis.DecompressionStream ? 'broken' : 'old')
  })
}
