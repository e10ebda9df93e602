"""How much spirit a fill has lost: its gauges, the loss from gauge to gauge, its peers, and whether it is too much."""

from caskbook.loss.facts import loss_facts, loss_parts
from caskbook.loss.figures import FillFigure, figures_of
from caskbook.loss.fills import fill_losses, loss_now
from caskbook.loss.peers import PeerTable
from caskbook.loss.verdicts import Losses, excess_running, losses_of

__all__ = ["FillFigure", "Losses", "PeerTable", "excess_running", "figures_of", "fill_losses", "loss_facts", "loss_now", "loss_parts", "losses_of"]
