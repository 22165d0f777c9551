"""Money as whole pence, and as people read it.

A pence is the hundredth of whatever the book's currency is; currencies without hundredths are refused by the book.
"""

from decimal import ROUND_HALF_UP, Decimal

HUNDRED = Decimal(100)


def pence(amount: Decimal | float) -> int:
    """Give an amount of the book's currency as whole pence.

    Raises
    ------
    ValueError
        When the amount has part of a penny.

    Examples
    --------
    >>> pence(0.65), pence(Decimal("1200"))
    (65, 120000)
    """
    exact = Decimal(str(amount)) * HUNDRED
    whole = exact.to_integral_value(rounding=ROUND_HALF_UP)
    if exact != whole:
        raise ValueError(f"{amount} has part of a penny; write two decimals at most")
    return int(whole)


def percent_of(amount_pence: int, percent: Decimal | float) -> int:
    """Give a percentage of an amount, rounded to the nearest penny, halves up.

    round(A · p / 100), where A is the amount in pence and p the percentage; worked in decimals, so that no binary
    fraction decides a half penny.

    Examples
    --------
    >>> percent_of(12_350, 20), percent_of(50, 5)
    (2470, 3)
    """
    share = Decimal(amount_pence) * Decimal(str(percent)) / HUNDRED
    return int(share.to_integral_value(rounding=ROUND_HALF_UP))


def show_money(amount_pence: int, sign: str) -> str:
    """Give an amount as text: sign, thousands apart, always two decimals, a minus in front.

    Examples
    --------
    >>> show_money(123_456, "£"), show_money(-5, "£"), show_money(9_900, "CHF")
    ('£1,234.56', '−£0.05', 'CHF 99.00')
    """
    whole, rest = divmod(abs(amount_pence), 100)
    gap = " " if sign[-1:].isalpha() else ""
    return f"{'−' if amount_pence < 0 else ''}{sign}{gap}{whole:,}.{rest:02d}"


def with_tax(net_pence: int, percent: float) -> int:
    """Give an amount with its tax.

    Examples
    --------
    >>> with_tax(10_000, 20)
    12000
    """
    return net_pence + percent_of(net_pence, percent)


def tax_said(percent: float) -> str:
    """Say what tax an amount holds, to stand behind it.

    Examples
    --------
    >>> tax_said(20), tax_said(0)
    ('with 20 % tax', 'no tax charged')
    """
    return f"with {percent:g} % tax" if percent else "no tax charged"
