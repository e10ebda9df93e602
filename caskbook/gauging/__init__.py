"""The gauging room: pure arithmetic on spirit, casks, heads and air, with no other room of caskbook in it.

`density`, `strength`, `proof`, `volume20` and `duty` are about the spirit; `volume` about the cask's shape and a dip in
it; `head` about fitting a head and jointing staves; `pressure` about air under test. Every function refuses what lies
outside the domain of its formula with a one-line `domain.DomainError`.
"""
