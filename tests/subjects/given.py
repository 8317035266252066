"""What other subjects give to the tables of one, as columns of the rows themselves."""

from core.subjects.tables import Table, Texts, column, recorded


class Given(Table):
    """One pile with numbers of other subjects."""

    subject, record = "given", "schedule"
    final_torque_nm, component_rated_torque_nm, resistance_kn = recorded(), recorded(), recorded()

    @column("text", "stamp of the component")
    def component_rated_stamp(self) -> Texts:
        """As the rows have it."""
        return self.text("component_rated_stamp")
